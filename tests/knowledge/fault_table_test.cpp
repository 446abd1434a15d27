#include "platewise/knowledge/fault_table.h"

#include <gtest/gtest.h>

#include <set>

#include "platewise/knowledge/cautions.h"

namespace platewise {
namespace {

// The ids of the trade handbook's fault table (faults.csv, 45 rows), copied here so that none gets lost.
constexpr std::string_view kHandbookIds[] = {"uncovered_corner", "dry_edge",
                                             "pour_ridges",      "crapy_lines",
                                             "uneven_film",      "comet",
                                             "worm_lines",       "pinhole",
                                             "dust_speck",       "veil",
                                             "light_leak",       "flare_spot",
                                             "dip_streaks",      "hook_streak",
                                             "bath_halt_line",   "curtain_marks",
                                             "oily_lines",       "bath_scum",
                                             "air_bell",         "pressure_spot",
                                             "stall_line",       "developer_splash",
                                             "developer_gap",    "oyster_stain",
                                             "edge_stain",       "back_drip_rings",
                                             "frilling",         "tear_hole",
                                             "fingerprint",      "finger_corner_stain",
                                             "scratch",          "dirty_glass_deposit",
                                             "underfix_veil",    "overfix_bleach",
                                             "iron_stain",       "solarised_blue",
                                             "drying_mark",      "iridescence_crack",
                                             "craquelure",       "varnish_ridge",
                                             "varnish_bloom",    "varnish_dissolve",
                                             "varnish_speck",    "tarnish",
                                             "support_flaw"};

TEST(FaultTable, HoldsEveryFaultOfTheHandbookAndNoOther) {
  std::set<std::string_view> ids;
  for (const KnownFault& fault : known_faults()) ids.insert(fault.id);
  EXPECT_EQ(ids, std::set<std::string_view>(std::begin(kHandbookIds), std::end(kHandbookIds)));
  EXPECT_EQ(known_faults().size(), std::size(kHandbookIds));
}

TEST(FaultTable, EveryFaultHasNamesLookCauseAndRemedy) {
  for (const KnownFault& fault : known_faults()) {
    SCOPED_TRACE(fault.id);
    EXPECT_FALSE(fault.trade_names.empty());
    EXPECT_FALSE(fault.look.empty());
    EXPECT_FALSE(fault.causes.empty());
    EXPECT_FALSE(fault.remedies.empty());
    for (const KnownCause& cause : fault.causes) EXPECT_FALSE(cause.source.empty()) << cause.text;
    for (const KnownRemedy& remedy : fault.remedies) EXPECT_FALSE(remedy.source.empty()) << remedy.text;
  }
}

TEST(FaultTable, AsksThePhotographerExactlyWhereNoScanCanTell) {
  for (const KnownFault& fault : known_faults()) {
    EXPECT_EQ(fault.seen == Seen::by_eye, !fault.question.empty()) << fault.id;
  }
}

TEST(FaultTable, EveryCautionKeyResolves) {
  for (const KnownFault& fault : known_faults()) {
    for (const std::string& key : fault.caution_keys) EXPECT_NE(caution(key), nullptr) << fault.id << key;
  }
}

TEST(FaultTable, UnknownIdsHaveNothingToSay) {
  EXPECT_EQ(known_fault("sunspot"), nullptr);
  EXPECT_TRUE(likely_causes("sunspot").empty());
  EXPECT_EQ(likely_causes("frilling").front(), "set: dipped before the film was set");
}

}  // namespace
}  // namespace platewise
