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

// What a control chart's rule says, 1 to 5 (stats/control_chart.h).
[[nodiscard]] std::string_view chart_rule(int rule);

// Page and headings.
inline constexpr std::string_view kLanguage = "en";
inline constexpr std::string_view kPage = "Plate report";
inline constexpr std::string_view kPageOfMany = "Plate report: {} plates";
inline constexpr std::string_view kSkip = "To the advice";
inline constexpr std::string_view kSeries = "The plates in order";
inline constexpr std::string_view kNextPlate = "Next plate";
inline constexpr std::string_view kThisPlate = "This plate";
inline constexpr std::string_view kMarks = "Marks";
inline constexpr std::string_view kMarksOf100 = "Marks out of 100";
inline constexpr std::string_view kMarksCost = "What cost marks";
inline constexpr std::string_view kWhy = "Why";
inline constexpr std::string_view kAlternatives = "Or else";
inline constexpr std::string_view kTones = "Tones";
inline constexpr std::string_view kFaults = "Faults on the plate";
inline constexpr std::string_view kFound = "Faults";
inline constexpr std::string_view kFacts = "Scan and settings";
inline constexpr std::string_view kCurve = "Your material";
inline constexpr std::string_view kCautions = "Take care";
inline constexpr std::string_view kWarnings = "To be doubted";
inline constexpr std::string_view kDoubts = "Doubts";
inline constexpr std::string_view kNotMeasured = "not measured";
inline constexpr std::string_view kNoAdvice = "no advice";
inline constexpr std::string_view kOf100 = "{} of 100";
inline constexpr std::string_view kLikely = "{} ({} likely)";
inline constexpr std::string_view kRoomButton = "Dark room";
inline constexpr std::string_view kRoomCaution =
    "Any screen can fog a sensitised plate, a red one too. Turn its brightness down as far as it goes, keep "
    "plates covered, and keep the screen away from open ones.";
inline constexpr std::string_view kNoFaults = "No faults were found on this plate.";
inline constexpr std::string_view kNotFound =
    "No plate was found in this picture, so nothing was measured. Give its corners with --corners.";
inline constexpr std::string_view kNoChange = "no change";
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

// Marks, as table rows.
inline constexpr std::string_view kExposure = "exposure";
inline constexpr std::string_view kDevelopment = "development";
inline constexpr std::string_view kFog = "fog";
inline constexpr std::string_view kCoating = "coating";
inline constexpr std::string_view kCleanliness = "cleanliness";
inline constexpr std::string_view kOverall = "overall";

// The picture and its tools.
inline constexpr std::string_view kPlateGroup = "The plate. Plus and minus keys zoom, arrow keys move.";
inline constexpr std::string_view kPlateAlt = "The plate as scanned, upright";
inline constexpr std::string_view kCloser = "Closer";
inline constexpr std::string_view kFarther = "Farther";
inline constexpr std::string_view kWhole = "Whole";
inline constexpr std::string_view kOutlines = "Outlines";
inline constexpr std::string_view kPictureEdge = "Dashed line: the edge of the picture.";
inline constexpr std::string_view kNumbersMean = "Numbers: the faults described below.";
inline constexpr std::string_view kDotsMean = "Dots: {}.";
inline constexpr std::string_view kSquaresMean = "Squares: {}.";
inline constexpr std::string_view kTrianglesMean = "Triangles: {}.";

// Tones: names, signs in the plot, and what each is.
inline constexpr std::string_view kHistogramTitle = "Tones of the plate";
inline constexpr std::string_view kHistogramDescription =
    "Share of the picture by density, with signs for the tones listed in the table.";
inline constexpr std::string_view kHistogramCaption = "How much of the picture lies at each density.";
inline constexpr std::string_view kHistogramVeil = "Bracket: fog.";
inline constexpr std::string_view kHistogramAim = "Hatched: where the highlight H belongs.";
inline constexpr std::string_view kAim = "aim for H";
inline constexpr std::string_view kPositiveAxis = "density (D), lights to the right";
inline constexpr std::string_view kNegativeAxis = "density (D), shadows to the left";
inline constexpr std::string_view kShareAxis = "share of the picture (%)";
inline constexpr std::string_view kToneCaption = "Density, \u00b1 one standard uncertainty ({})";
inline constexpr std::string_view kCalibrated = "calibrated with your wedge";
inline constexpr std::string_view kUncalibrated = "no device file: all may be off by one amount";
inline constexpr std::string_view kSign = "Sign";
inline constexpr std::string_view kTone = "Tone";
inline constexpr std::string_view kDensity = "Density";
inline constexpr std::string_view kWhatItIs = "What it is";
inline constexpr std::string_view kSupport = "support";
inline constexpr std::string_view kSupportSeen = "bare support, seen on the plate";
inline constexpr std::string_view kSupportAssumed = "bare support, not seen: the usual value";
inline constexpr std::string_view kMargin = "margin";
inline constexpr std::string_view kMarginIs = "coated rim that the holder covered";
inline constexpr std::string_view kFloor = "floor";
inline constexpr std::string_view kFloorIs = "deepest shadow of the picture";
inline constexpr std::string_view kMidtone = "mid-tone";
inline constexpr std::string_view kMidtoneIs = "half of the picture is darker, half lighter";
inline constexpr std::string_view kHighlight = "highlight";
inline constexpr std::string_view kHighlightIs = "the lightest 2% of the picture begin here";
inline constexpr std::string_view kRange = "range";
inline constexpr std::string_view kRangeIs = "from floor to highlight";
inline constexpr std::string_view kFogIs = "the whole veil of the deepest shadow";
inline constexpr std::string_view kMarginFog = "margin fog";
inline constexpr std::string_view kMarginFogIs = "veil without light: chemistry, development, darkroom light";
inline constexpr std::string_view kFloorOverMargin = "floor over margin";
inline constexpr std::string_view kFloorOverMarginIs = "light that came through the lens";
inline constexpr std::string_view kEmptyShadows = "empty shadows";
inline constexpr std::string_view kEmptyShadowsIs = "of the picture: at the floor, without detail";
inline constexpr std::string_view kBlockedLights = "blocked lights";
inline constexpr std::string_view kBlockedLightsIs = "of the picture: at the top, without detail";
inline constexpr std::string_view kTextDensity = "density";
inline constexpr std::string_view kTextUncalibrated = "density, uncalibrated";

// The characteristic curve.
inline constexpr std::string_view kCurveTitle = "Characteristic curve";
inline constexpr std::string_view kCurveDescription =
    "Image silver against log exposure, with the tones of this plate now and after the change.";
inline constexpr std::string_view kCurveXAxis = "log exposure (1 stop = 0.30)";
inline constexpr std::string_view kCurveYAxis = "image silver (D)";
inline constexpr std::string_view kCurveNow = "this plate";
inline constexpr std::string_view kCurveNext = "after the change";
inline constexpr std::string_view kCurveTime = "{} s";
inline constexpr std::string_view kCurveCaption =
    "Dots: the tones of this plate (F floor, \u00bd mid-tone, H highlight). Open squares: where the advised "
    "change puts them.";
inline constexpr std::string_view kCurveSameTime =
    "Only exposure is drawn as changed: there is no curve for another development time.";
inline constexpr std::string_view kCurveOutside = "Tones that this curve does not reach are left out.";

// What time in the developer does, by curves at several times.
inline constexpr std::string_view kGrowthCaption = "What development from {} s to {} s does, by your curves";
inline constexpr std::string_view kGrowthOf = "Of";
inline constexpr std::string_view kGrowthChange = "Change";
inline constexpr std::string_view kGrowthEnded = "Chance that it no longer grows";
inline constexpr std::string_view kGrowthGamma = "gamma";
inline constexpr std::string_view kGrowthHighlight = "highlight, density";
inline constexpr std::string_view kGrowthFog = "fog, density";

// Faults.
inline constexpr std::string_view kFaultAlt = "Part of the plate with fault {}";
inline constexpr std::string_view kCauses = "Likely causes";
inline constexpr std::string_view kRemedies = "What to do";
inline constexpr std::string_view kMm = "mm";
inline constexpr std::string_view kRelativeUnit = "% of the long side";
inline constexpr std::string_view kFaultLength = ", {} long";
inline constexpr std::string_view kFaultDirection = ", direction {}\u00b0";
inline constexpr std::string_view kFaultSeverity = "; severity {} of 1, {} sure";
inline constexpr std::string_view kGroupCount = "{} of them";
inline constexpr std::string_view kPerCm2 = ", {} to the cm\u00b2";
inline constexpr std::string_view kGroupArea = ", together {} of the plate";
inline constexpr std::string_view kGroupWorst = "The worst of them; each is in the data of this page.";
inline constexpr std::string_view kTextAsAbove = "as above";
inline constexpr std::string_view kTextRestAsAbove = "and as above";
inline constexpr std::string_view kTextMany = "{} \u00d7 {}";
inline constexpr std::string_view kTextPerCm2 = " ({} to the cm\u00b2)";

// Scan and settings.
inline constexpr std::string_view kFile = "file";
inline constexpr std::string_view kScan = "scan";
inline constexpr std::string_view kScanIs = "{} x {} pixels, {} bit, {}";
inline constexpr std::string_view kGrey = "grey";
inline constexpr std::string_view kColour = "colour";
inline constexpr std::string_view kProfile = "colour profile";
inline constexpr std::string_view kResolution = "resolution";
inline constexpr std::string_view kDpi = "{} dpi";
inline constexpr std::string_view kNotStated = "not stated";
inline constexpr std::string_view kNotNoted = "not noted";
inline constexpr std::string_view kPlate = "plate";
inline constexpr std::string_view kSizeUnknown = "size unknown: lengths are in % of the long side";
inline constexpr std::string_view kSizeNotFound = "not found";
inline constexpr std::string_view kOutline = "outline of the plate";
inline constexpr std::string_view kSure = "{} sure";
inline constexpr std::string_view kCovered = "covered by film";
inline constexpr std::string_view kExposureGiven = "exposure given";
inline constexpr std::string_view kDevelopmentGiven = "development given";
inline constexpr std::string_view kNote = "note";
inline constexpr std::string_view kFingerprint = "fingerprint of the file (SHA-256)";

// A series.
inline constexpr std::string_view kPlateNumber = "Plate {}: {}";
inline constexpr std::string_view kSlider = "Before and after";
inline constexpr std::string_view kSliderPair = "Plates";
inline constexpr std::string_view kSliderOption = "{} and {}";
inline constexpr std::string_view kSliderRange = "Left of the line the earlier plate, right of it the later";
inline constexpr std::string_view kSliderHint =
    "The earlier plate is laid on the later one. Drag the line, or use the arrow keys on the slider.";
inline constexpr std::string_view kSliderNone =
    "No two plates that follow each other show the same scene, so none can be laid on one another.";
inline constexpr std::string_view kSliderNeedsScript =
    "Laying plates on one another needs the page's script.";
inline constexpr std::string_view kSliderNow = "{0}% earlier plate";
inline constexpr std::string_view kDrift = "From plate to plate";
inline constexpr std::string_view kDriftFog = "Fog";
inline constexpr std::string_view kDriftMarginFog = "Margin fog";
inline constexpr std::string_view kDriftFloorOverMargin = "Floor over margin";
inline constexpr std::string_view kDriftExposure = "Exposure";
inline constexpr std::string_view kDriftHighlight = "Highlight";
inline constexpr std::string_view kDriftDensityAxis = "density (D)";
inline constexpr std::string_view kDriftStopsAxis = "stops off (+ too much)";
inline constexpr std::string_view kDriftPlateAxis = "plate";
inline constexpr std::string_view kDriftDescription = "{} over the series, with its control limits.";
inline constexpr std::string_view kDriftUpper = "upper {}";
inline constexpr std::string_view kDriftLower = "lower {}";
inline constexpr std::string_view kDriftCentre = "mean {}";
inline constexpr std::string_view kDriftSteady = "{}: steady; no plate stands out of the limits.";
inline constexpr std::string_view kDriftSignal = "{}, plate {}: {}.";
inline constexpr std::string_view kDriftTooFew =
    "{}: no limits. They need {} plates or more, each with this value.";
inline constexpr std::string_view kChanges = "What changed";
inline constexpr std::string_view kChangesCaption =
    "Later plate minus earlier plate; light in stops, fog and highlight in density (D)";
inline constexpr std::string_view kChangePlates = "Plates";
inline constexpr std::string_view kChangeLight = "Light";
inline constexpr std::string_view kChangeFog = "Fog";
inline constexpr std::string_view kChangeHighlight = "Highlight";
inline constexpr std::string_view kChangeFaults = "Faults";
inline constexpr std::string_view kChangePair = "{} to {}";
inline constexpr std::string_view kOutcomes = "Predicted against happened";
inline constexpr std::string_view kOutcomesCaption =
    "What was proposed after a plate, what was done, and what the next plate says of it";
inline constexpr std::string_view kOutcomeProposed = "Light proposed";
inline constexpr std::string_view kOutcomeDone = "Done";
inline constexpr std::string_view kOutcomeNeeded = "Needed";
inline constexpr std::string_view kOutcomePredicted = "Next plate off, predicted";
inline constexpr std::string_view kOutcomeHappened = "Happened";
inline constexpr std::string_view kOutcomeDevelopmentTitle = "Development";
inline constexpr std::string_view kOutcomeTooMuch = "{:.1f} stops too much \u00b1{:.1f}";
inline constexpr std::string_view kOutcomeTooLittle = "{:.1f} stops too little \u00b1{:.1f}";
inline constexpr std::string_view kOutcomeLight = "light as noted {}";
inline constexpr std::string_view kOutcomeWithin = "within the range given";
inline constexpr std::string_view kOutcomeOutside = "outside the range given";
inline constexpr std::string_view kOutcomeNotNoted = "times not noted";
inline constexpr std::string_view kOutcomeNotTold = "not told";
inline constexpr std::string_view kOutcomeDevelopment = "{}; done {:+.0f}%";
inline constexpr std::string_view kOutcomeHeld =
    "As far as the next plates tell, the range given held in {} of {} corrections; it is meant to hold in "
    "four of five.";
inline constexpr std::string_view kOutcomeNoneTold =
    "No correction can be checked: note the exposure times of both plates.";
inline constexpr std::string_view kOtherScene = "another scene";
inline constexpr std::string_view kNotComparable = "same scene, not comparable";
inline constexpr std::string_view kAppeared = "new: {}";
inline constexpr std::string_view kGone = "gone: {}";

}  // namespace platewise::words
