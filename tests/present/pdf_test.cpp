#include "platewise/present/pdf.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace platewise {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

// A folder with a page in it and, where the test wants one, a browser of our own making.
class PrintPdf : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "platewise-pdf-test-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
    std::ofstream(folder_ / "page.html") << "<!doctype html><title>A page</title><p>Words";
  }
  void TearDown() override {
    ::unsetenv("PLATEWISE_BROWSER");
    fs::remove_all(folder_);
  }
  void use_browser(const std::string& script) const {
    std::ofstream(folder_ / "browser") << "#!/bin/sh\n" << script;
    fs::permissions(folder_ / "browser", fs::perms::owner_all);
    ::setenv("PLATEWISE_BROWSER", (folder_ / "browser").c_str(), 1);
  }
  [[nodiscard]] Result<void> print(double timeout_s = 100.0) const {
    return print_pdf(folder_ / "page.html", folder_ / "out.pdf", timeout_s);
  }
  [[nodiscard]] std::size_t files() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_), fs::directory_iterator{}));
  }
  [[nodiscard]] std::string pdf() const {
    std::ostringstream text;
    text << std::ifstream(folder_ / "out.pdf", std::ios::binary).rdbuf();
    return text.str();
  }
  fs::path folder_;
};

// The last argument is the page, one of the others names the file to write.
constexpr const char* kFindTarget =
    "for a in \"$@\"; do case $a in --print-to-pdf=*) f=${a#*=};; esac; done\n";

TEST_F(PrintPdf, WritesAsideAndRenames) {
  use_browser(std::string(kFindTarget) + "case $f in */out.pdf) exit 1;; esac\necho '%PDF-made' > \"$f\"\n");
  const auto printed = print();
  ASSERT_TRUE(printed) << printed.error().message();
  EXPECT_EQ(pdf(), "%PDF-made\n");
  EXPECT_EQ(files(), 3U);  // page, browser, PDF
}

TEST_F(PrintPdf, KeepsTheOldFileWhenTheBrowserFails) {
  std::ofstream(folder_ / "out.pdf") << "old";
  use_browser(std::string(kFindTarget) + "echo half > \"$f\"\nexit 3\n");
  const auto printed = print();
  ASSERT_FALSE(printed);
  EXPECT_THAT(printed.error().message(), HasSubstr("out.pdf"));
  EXPECT_EQ(pdf(), "old");
  EXPECT_EQ(files(), 3U);
}

TEST_F(PrintPdf, EndsABrowserThatDoesNotFinish) {
  use_browser("exec sleep 60\n");
  const auto printed = print(0.2);
  ASSERT_FALSE(printed);
  EXPECT_THAT(printed.error().message(), HasSubstr("did not finish"));
  EXPECT_EQ(files(), 2U);
}

TEST_F(PrintPdf, SaysHowToGetABrowser) {
  ::setenv("PLATEWISE_BROWSER", (folder_ / "none").c_str(), 1);
  const auto printed = print();
  ASSERT_FALSE(printed);
  EXPECT_THAT(printed.error().message(), HasSubstr("install Debian's package chromium"));
  EXPECT_EQ(files(), 1U);
}

}  // namespace
}  // namespace platewise
