#include "platewise/present/text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "platewise/present/series_text.h"
#include "present/sample_plates.h"

namespace platewise {
namespace {

using testing::HasSubstr;
using testing::Not;

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

int columns(const std::string& line) {
  int count = 0;
  for (const char c : line) count += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  return count;
}

TEST(SummaryText, SaysTheSentenceThatMattersFirst) {
  const auto lines = lines_of(summary_text(sample_plate({}), {.width = 110}));
  EXPECT_THAT(lines[0], HasSubstr("plate-1.tif: tintype, 4x5in plate"));
  EXPECT_THAT(lines[1], HasSubstr("Give 20 s (+1 stop, +0.7 to +1.3) and stop the developer at 17 s"));
}

TEST(SummaryText, IsPlainWithoutColour) {
  EXPECT_THAT(summary_text(sample_plate({})), Not(HasSubstr("\x1b")));
  EXPECT_THAT(summary_text(sample_plate({}), {.colour = true}), HasSubstr("\x1b[1m"));
}

TEST(SummaryText, AlignsItsLinesAndStaysWithinTheWidth) {
  for (const int width : {40, 60, 80, 110}) {
    const auto lines = lines_of(summary_text(sample_plate({.pinholes = 400}), {.width = width}));
    for (std::size_t i = 1; i < lines.size(); ++i) {
      EXPECT_LE(columns(lines[i]), width) << lines[i];
      EXPECT_EQ(lines[i].find_first_not_of(' ') == 2 || lines[i].find_first_not_of(' ') == 13, true)
          << lines[i];
    }
  }
}

TEST(SummaryText, StaysShortHoweverManyFaultsThereAre) {
  const auto few = lines_of(summary_text(sample_plate({.comets = 1, .pinholes = 13})));
  const auto many = lines_of(summary_text(sample_plate({.comets = 1, .pinholes = 3000})));
  EXPECT_EQ(few.size(), many.size());
  EXPECT_LE(many.size(), 16U);
}

TEST(SummaryText, CountsAKindWithManyFaultsAsOne) {
  const std::string text = summary_text(sample_plate({.comets = 3, .pinholes = 40}), {.width = 110});
  EXPECT_THAT(text, HasSubstr("3 \u00d7 comet, 40 \u00d7 pinhole (0.3 to the cm\u00b2)"));
}

TEST(SummaryText, KeepsAFileNameOnOneLineAndFreeOfControls) {
  const std::string text = summary_text(sample_plate({.file_name = "a\n\x1b[31mb.tif"}));
  EXPECT_THAT(text, Not(HasSubstr("\x1b")));
  EXPECT_THAT(lines_of(text)[0], HasSubstr("b.tif: tintype"));
}

TEST(SummaryText, SaysPlainlyThatNoPlateWasFound) {
  PlateScore nothing;
  nothing.scan.path = "cat.jpg";
  EXPECT_THAT(summary_text(nothing), HasSubstr("No plate was found in this picture"));
}

// A day's plates share most cautions: each stands once in a run, later plates point to it.
TEST(SummaryText, PointsToWhatWasSaidBefore) {
  PlateScore plate = sample_plate({});
  plate.warnings = {"an old doubt", "a new doubt"};
  plate.cautions = {"wear goggles"};
  const std::string alone = summary_text(plate);
  EXPECT_THAT(alone, HasSubstr("wear goggles"));
  const std::string later = summary_text(plate, {}, {"an old doubt", "wear goggles"});
  EXPECT_THAT(later, Not(HasSubstr("wear goggles")));
  EXPECT_THAT(later, Not(HasSubstr("an old doubt")));
  EXPECT_THAT(later, HasSubstr("a new doubt"));
  EXPECT_THAT(later, HasSubstr("  Take care  as above"));
}

TEST(SeriesText, SetsItsColumnsUnderOneAnother) {
  const auto plates = sample_series(3);
  const auto lines = lines_of(series_text(plates, compare(plates)));
  const int state = columns(lines[1].substr(0, lines[1].find("state")));
  for (std::size_t i = 2; i < plates.size() + 2; ++i) {
    EXPECT_EQ(columns(lines[i].substr(0, lines[i].find("under-exposed"))), state) << lines[i];
  }
}

}  // namespace
}  // namespace platewise
