#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "platewise/present/html.h"
#include "platewise/write/write_file.h"
#include "present/sample_plates.h"

// Writes the pages that tests/browser opens: make_pages FOLDER
namespace {

using namespace platewise;

bool written(const std::filesystem::path& file, const std::vector<PlateScore>& plates) {
  const Result<std::string> page = report_html(plates);
  if (!page) {
    std::fprintf(stderr, "%s\n", page.error().message().c_str());
    return false;
  }
  const Result<void> saved = write_file(file, *page);
  if (!saved) std::fprintf(stderr, "%s\n", saved.error().message().c_str());
  return saved.has_value();
}

// File names and notes that try to become markup, script or a request.
PlateScore hostile_plate() {
  return sample_plate(
      {.file_name = "x\"><img src=\"https:&#x2f;&#x2f;example.invalid\" onerror=\"hurt()\">.tif",
       .note = "</script><script>window.hurt = 1</script><!-- ]]> <svg onload=hurt()> "
               "javascript:hurt() \xFF\xFE {{DATA}} ${hurt}"});
}

PlateScore not_a_plate() {
  PlateScore score;
  score.scan.path = "garden-gate.jpg";
  return score;
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 2) return 2;
  const std::filesystem::path folder = arguments[1];
  std::filesystem::create_directories(folder);
  const bool all = written(folder / "plate.html", {sample_plate({})}) &&
                   written(folder / "hostile.html", {hostile_plate()}) &&
                   written(folder / "series.html", sample_series(6)) &&
                   written(folder / "nothing.html", {not_a_plate()});
  return all ? 0 : 1;
}
