#include "platewise/present/html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "platewise/json/score_json.h"
#include "platewise/present/section.h"
#include "present/sample_plates.h"

namespace platewise {
namespace {

using testing::HasSubstr;
using testing::Not;

std::string page_of(const std::vector<PlateScore>& plates) {
  const Result<std::string> page = report_html(plates);
  if (!page) ADD_FAILURE() << page.error().message();
  return page.value_or("");
}

nlohmann::json data_of(const std::string& page) {
  const std::string open = "id=\"plate-data\">";
  const std::size_t start = page.find(open) + open.size();
  return nlohmann::json::parse(page.substr(start, page.find("</script>", start) - start));
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t number = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++number;
  return number;
}

TEST(ReportHtml, CarriesTheSameDataAsJson) {
  const std::vector<PlateScore> one{sample_plate({.note = "</script><b>&amp;"})};
  EXPECT_EQ(data_of(page_of(one)), nlohmann::json::parse(score_json(one.front())));
  const auto many = sample_series(2);
  EXPECT_EQ(data_of(page_of(many)), nlohmann::json::parse(scores_json(many)));
}

TEST(ReportHtml, ShowsEverySectionWithAnIdOfItsOwn) {
  const std::string page = page_of({sample_plate({})});
  for (const Section& section : report_sections()) {
    EXPECT_EQ(count(page, "id=\"plate-1-" + std::string(section.id) + "\""), 1U) << section.id;
  }
}

TEST(ReportHtml, UsesEveryIdOnce) {
  const std::string page = page_of(sample_series(3));
  const std::regex id("[ <]id=\"([^\"]+)\"");
  std::set<std::string> seen;
  for (std::sregex_iterator at(page.begin(), page.end(), id), end; at != end; ++at) {
    EXPECT_TRUE(seen.insert((*at)[1].str()).second) << (*at)[1].str();
  }
  EXPECT_GT(seen.size(), 20U);
}

TEST(ReportHtml, ShowsManyFaultsOfAKindAsOneGroup) {
  const std::string few = page_of({sample_plate({.comets = 3, .pinholes = 12})});
  EXPECT_EQ(count(few, "class=\"outline-number\""), 15U);
  EXPECT_EQ(count(few, "class=\"dots\""), 0U);
  const std::string many = page_of({sample_plate({.comets = 3, .pinholes = 300})});
  EXPECT_EQ(count(many, "class=\"outline-number\""), 3U);
  EXPECT_EQ(count(many, "class=\"dots\""), 1U);
  EXPECT_EQ(count(many, "class=\"crop\""), 9U);  // three comets, the six worst pinholes
  EXPECT_THAT(many, HasSubstr("300 of them, 2.3 to the cm\u00b2"));
  EXPECT_EQ(data_of(many)["faults"].size(), 303U);
}

TEST(ReportHtml, GivesEachKindItsCausesRemediesAndCautionsOnce) {
  const std::string page = page_of({sample_plate({.comets = 5, .pinholes = 40})});
  for (const char* words : {"Cause one of comet<", "Remedy of comet<", "Caution of comet<",
                            "Cause two of pinhole<", "Remedy of pinhole<"}) {
    EXPECT_EQ(count(page, words), 1U) << words;
  }
}

TEST(ReportHtml, MarksTheTonesFogAndAimInTheHistogram) {
  const std::string page = page_of({sample_plate({})});
  for (const char* sign : {">S</text>", ">M</text>", ">F</text>", ">\u00bd</text>", ">H</text>",
                           ">fog</text>", ">aim for H</text>", "class=\"veil\"", "class=\"aim\""}) {
    EXPECT_THAT(page, HasSubstr(sign));
  }
  EXPECT_THAT(page, HasSubstr("density (D), lights to the right</text>"));
  EXPECT_THAT(page, HasSubstr("share of the picture (%)</text>"));
}

TEST(ReportHtml, DrawsTheTonesOnTheCurveNowAndAfterTheChange) {
  const std::string page = page_of({sample_plate({})});
  EXPECT_EQ(count(page, "<path class=\"curve"), 2U);
  EXPECT_EQ(count(page, "<path class=\"link\""), 3U);  // floor, mid-tone, highlight
  EXPECT_THAT(page, HasSubstr(">after the change</text>"));
  EXPECT_THAT(page, Not(HasSubstr("Only exposure is drawn as changed")));  // a curve for 16 s is there
  EXPECT_EQ(count(page_of({sample_plate({.curves = false})}), "class=\"curve"), 0U);
}

TEST(ReportHtml, ShowsFogAndExposureOfASeriesWithLimits) {
  const std::string page = page_of(sample_series(7));
  EXPECT_EQ(count(page, "<line class=\"limit\""), 6U);  // two for each of fog, exposure, highlight
  EXPECT_THAT(page, HasSubstr("stops off (+ too much)</text>"));
  EXPECT_THAT(page, HasSubstr("Fog, plate 7: beyond the limits."));
}

TEST(ReportHtml, SaysWhenASeriesIsTooShortForLimits) {
  const std::string page = page_of(sample_series(3));
  EXPECT_EQ(count(page, "<line class=\"limit\""), 0U);
  EXPECT_THAT(page, HasSubstr("Fog: no limits. They need 5 plates or more, each with this value."));
}

TEST(ReportHtml, LaysPlatesOfOneSceneOnOneAnother) {
  const std::string page = page_of(sample_series(3));
  EXPECT_EQ(count(page, "<option value="), 2U);
  const PlateScore other = sample_plate({.kind = PlateKind::negative});
  EXPECT_THAT(page_of({sample_plate({}), other}), HasSubstr("No two plates that follow each other show"));
}

TEST(ReportHtml, HoldsPastAdviceAgainstWhatHappened) {
  std::vector<PlateScore> plates = sample_series(3);
  plates[0].recommendation->exposure = {.change = 1.0, .low = 0.5, .high = 1.5};
  plates[0].recommendation->exposure_error_stops = -1.0;
  plates[1].settings.exposure_s = 20.0;  // a stop more, as proposed
  plates[1].recommendation->exposure_error_stops = 0.1;
  plates[1].recommendation->exposure = {.change = 0.0, .low = -0.4, .high = 0.4};
  plates[2].settings.exposure_s.reset();
  const std::string page = page_of(plates);
  EXPECT_THAT(page, HasSubstr("Predicted against happened"));
  EXPECT_THAT(page, HasSubstr("held in 1 of 1 corrections"));
  EXPECT_THAT(page, HasSubstr("+5/6 stop \u00b1"));  // done 1, then 0.1 too much: 0.9 was needed
  EXPECT_THAT(page, HasSubstr("0.1 stops too much \u00b1"));
  EXPECT_THAT(page, HasSubstr("within the range given"));
  EXPECT_THAT(page, HasSubstr("times not noted"));
  EXPECT_THAT(page_of({sample_plate({})}), Not(HasSubstr("Predicted against happened")));
}

TEST(ReportHtml, StandsAPlateThatWasNotFound) {
  PlateScore nothing;
  nothing.scan.path = "cat.jpg";
  EXPECT_THAT(page_of({nothing}), HasSubstr("No plate was found in this picture"));
  EXPECT_THAT(page_of({sample_plate({}), nothing}), HasSubstr("Plate 2: cat.jpg"));
}

// Grain makes a picture large. Kinds take turns so that no plates are laid on one another: that takes time
// and adds nothing to the size.
TEST(ReportHtml, OfThirtyPlatesStaysUnder15Megabytes) {
  std::vector<PlateScore> plates;
  for (std::uint64_t i = 0; i < 30; ++i) {
    plates.push_back(sample_plate({.kind = i % 2 == 0 ? PlateKind::tintype : PlateKind::negative,
                                   .seed = i + 1,
                                   .comets = 12,
                                   .pinholes = 100,
                                   .dust_specks = 100}));
  }
  const std::size_t bytes = page_of(plates).size();
  EXPECT_LT(bytes, 15'000'000U);
  EXPECT_GT(bytes, 3'000'000U);  // the pictures are in it
}

}  // namespace
}  // namespace platewise
