#include <array>

#include "detectors/detectors.h"
#include "platewise/faults/detector.h"

namespace platewise {
namespace {

constexpr std::array<std::string_view, 3> kMissingFilm{"uncovered_corner", "frilling", "tear_hole"};
constexpr std::array<std::string_view, 2> kSpecks{"pinhole", "dust_speck"};
constexpr std::array<std::string_view, 1> kPourRidges{"pour_ridges"};
constexpr std::array<std::string_view, 1> kComet{"comet"};
constexpr std::array<std::string_view, 1> kScratch{"scratch"};
constexpr std::array<std::string_view, 1> kLightLeak{"light_leak"};
constexpr std::array<std::string_view, 1> kFingerprint{"fingerprint"};
constexpr std::array<std::string_view, 1> kVeil{"veil"};
constexpr std::array<std::string_view, 1> kBathHaltLine{"bath_halt_line"};
constexpr std::array<std::string_view, 3> kOfColour{"iron_stain", "solarised_blue", "underfix_veil"};

const std::array kDetectors{
    Detector{"bare corners and edges, frilling, and holes torn in the film", kMissingFilm, 18.0,
             fault_detectors::missing_film},
    Detector{"pinholes and dust", kSpecks, 2.0, fault_detectors::specks},
    Detector{"the heads of comets", kComet, 5.0, fault_detectors::comet},
    Detector{"a veil over the whole plate", kVeil, 36.0, fault_detectors::veil},
    Detector{"light leaks that lie on the covered rim", kLightLeak, 36.0, fault_detectors::light_leak},
    Detector{"lines where the plate halted in the bath", kBathHaltLine, 10.0,
             fault_detectors::bath_halt_line},
    Detector{"ridges of the last run of collodion", kPourRidges, 18.0, fault_detectors::pour_ridges},
    Detector{"the width of long scratches", kScratch, 2.0, fault_detectors::scratch},
    Detector{"prints of fingers", kFingerprint, 60.0, fault_detectors::fingerprint},
    Detector{"iron stains, remains of short fixing and lights turned blue", kOfColour, 24.0,
             fault_detectors::colour_faults, true},
};

}  // namespace

std::span<const Detector> detectors() {
  return kDetectors;
}

}  // namespace platewise
