#pragma once

#include <string>
#include <string_view>

#include "platewise/core/plate.h"
#include "platewise/recommend/recommendation.h"

// The one place for words: another language is another table here. {} stand for numbers already formatted.
namespace platewise::words {

[[nodiscard]] std::string_view diagnosis(Diagnosis word);
[[nodiscard]] std::string_view kind(PlateKind kind);
[[nodiscard]] std::string fault(std::string_view id);

inline constexpr std::string_view kPage = "Plate report";
inline constexpr std::string_view kSeries = "The plates in order";
inline constexpr std::string_view kNextPlate = "Next plate";
inline constexpr std::string_view kThisPlate = "This plate";
inline constexpr std::string_view kMarks = "Marks";
inline constexpr std::string_view kWhy = "Why";
inline constexpr std::string_view kAlternatives = "Or else";
inline constexpr std::string_view kTones = "Tones";
inline constexpr std::string_view kFaults = "Marks on the plate";
inline constexpr std::string_view kFacts = "Scan and settings";
inline constexpr std::string_view kCurve = "Your material";
inline constexpr std::string_view kCautions = "Take care";
inline constexpr std::string_view kWarnings = "To be doubted";
inline constexpr std::string_view kNotMeasured = "not measured";
inline constexpr std::string_view kRoomButton = "Dark room";
inline constexpr std::string_view kRoomCaution =
    "Any screen can fog a sensitised plate, red ones too: keep it covered and away from open plates.";
inline constexpr std::string_view kNoFaults = "No marks were found on this plate.";
inline constexpr std::string_view kNotFound =
    "No plate was found in this picture, so nothing was measured. Give its corners with --corners.";
inline constexpr std::string_view kNothingToSay = "This plate says too little to advise a change.";

// Parts of the sentence for the next plate.
inline constexpr std::string_view kGiveSeconds = "Give {} s ({})";
inline constexpr std::string_view kGiveStops = "Give {}";
inline constexpr std::string_view kKeepExposureSeconds = "Keep the exposure at {} s ({})";
inline constexpr std::string_view kKeepExposure = "Keep the exposure ({})";
inline constexpr std::string_view kStopDeveloperSeconds = " and stop the developer at {} s ({}).";
inline constexpr std::string_view kDevelopPercent = " and develop {}.";
inline constexpr std::string_view kKeepDevelopmentSeconds = " and keep the development at {} s ({}).";
inline constexpr std::string_view kKeepDevelopment = " and keep the development ({}).";

}  // namespace platewise::words
