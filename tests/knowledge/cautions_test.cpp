#include "platewise/knowledge/cautions.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

namespace platewise {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::IsSupersetOf;
using testing::StartsWith;

TEST(Cautions, EveryListEndsWithTheClosingLine) {
  for (const Caution& one : caution_table()) {
    const std::vector<std::string> lines = caution_lines({one.key});
    ASSERT_GE(lines.size(), 2U) << one.key;
    EXPECT_EQ(lines.back(), kCautionClosing);
  }
  EXPECT_THAT(caution_lines({}), IsEmpty());
}

TEST(Cautions, EachLineStandsOnce) {
  EXPECT_EQ(caution_lines({"ETHER", "ETHER"}).size(), 2U);
}

// Handbook, cautions.md, wording rules: "Where a remedy names two items (e.g. acid in the developer while
// cyanide is the fixer) show the line for the pair first".
TEST(Cautions, ThePairOfAcidAndCyanideComesFirst) {
  const std::string pair = "Developer or acid beside cyanide: ";
  EXPECT_THAT(caution_lines({"KCN", "ACID"}).front(), StartsWith(pair));
  EXPECT_THAT(caution_lines({"FESO4", "KCN"}).front(), StartsWith(pair));
  EXPECT_THAT(cautions_for_remedy("add a little acid to the developer").front(), StartsWith(pair));
  EXPECT_THAT(cautions_for("veil").front(), StartsWith(pair));
  EXPECT_THAT(cautions_for("comet").front(), StartsWith("Collodion, ether, alcohol: "));
}

struct Remedy {
  const char* words;
  std::vector<std::string> keys;
};

TEST(Cautions, AreFoundFromTheWordsOfARemedy) {
  const Remedy remedies[] = {
      {"develop 20% longer", {"FESO4"}},
      {"more acid in the developer", {"ACID", "FESO4"}},
      {"sun and filter the silver bath", {"AGNO3", "WASTE"}},
      {"add UV light", {"UV"}},
      {"the sitter must hold still longer", {"SITTER"}},
      {"back to fresh fixer", {"KCN", "HYPO", "WASTE"}},
      {"thin the collodion with ether and alcohol", {"ETHER"}},
      {"intensify the negative", {"MERCURY"}},
  };
  for (const Remedy& remedy : remedies) {
    EXPECT_THAT(caution_keys_of_words(remedy.words), IsSupersetOf(remedy.keys)) << remedy.words;
  }
  EXPECT_THAT(caution_keys_of_words("open the lens by one stop, slightly"), IsEmpty());
}

TEST(Cautions, RemedyWordsOnlyNameKnownKeys) {
  for (const KnownFault& fault : known_faults()) {
    for (const KnownRemedy& remedy : fault.remedies) {
      for (const std::string& key : caution_keys_of_words(remedy.text))
        EXPECT_NE(caution(key), nullptr) << key;
    }
  }
}

// Handbook, cautions.md: no doses, exposure limits or ways of disposal as advice.
TEST(Cautions, NoRemedyStatesADose) {
  const std::regex dose("[0-9]+ ?(ml|g|mg|oz|%|drops|per cent|mg/m3)\\b|fold\\b|few drops",
                        std::regex::icase);
  for (const KnownFault& fault : known_faults()) {
    for (const KnownRemedy& remedy : fault.remedies) {
      EXPECT_FALSE(std::regex_search(remedy.text, dose)) << fault.id << ": " << remedy.text;
    }
  }
  for (const Caution& one : caution_table()) EXPECT_FALSE(std::regex_search(one.line, dose)) << one.key;
}

TEST(Cautions, CyanideIsNeverTheFirstRemedy) {
  for (const KnownFault& fault : known_faults()) {
    EXPECT_EQ(fault.remedies.front().text.find("cyanide"), std::string::npos) << fault.id;
  }
}

}  // namespace
}  // namespace platewise
