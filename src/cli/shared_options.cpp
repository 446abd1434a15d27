#include "shared_options.h"

#include "values.h"

namespace platewise::cli {
namespace {

void add_plate_options(CLI::App& app, SharedOptions& options) {
  constexpr const char* kGroup = "The plate";
  app.add_option("--kind", options.kind, "tintype, ambrotype or negative")
      ->check(one_of<PlateKind>())
      ->capture_default_str()
      ->group(kGroup);
  app.add_option("--plate-size", options.plate_size,
                 "trade size (whole, half, quarter, sixth, ninth, 4x5in ...) or 165x216mm")
      ->group(kGroup);
  app.add_option(
         "--state", options.state,
         "wet, dry or varnished when it was scanned; the aims are a varnished plate's (default: varnished)")
      ->check(one_of<PlateState>())
      ->group(kGroup);
  app.add_option("--backing", options.backing, "what lay behind an ambrotype: black or none")
      ->check(one_of<Backing>())
      ->group(kGroup);
  app.add_option("--side", options.side, "side that faced the scanner: film or glass (glass mirrors corners)")
      ->check(one_of<Side>())
      ->group(kGroup);
  app.add_option("--drain-corner", options.drain_corner, "corner the collodion was drained from")
      ->check(one_of<Corner>())
      ->group(kGroup);
  app.add_option("--dip-edge", options.dip_edge, "edge that entered the silver bath first: top, right ...")
      ->check(one_of<Edge>())
      ->group(kGroup);
  app.add_option("--subject", options.subject, "the part that matters: x,y,width,height in mm")
      ->group(kGroup);
}

void add_scan_options(CLI::App& app, SharedOptions& options) {
  constexpr const char* kGroup = "The scan";
  app.add_option("--corners", options.corners,
                 "the plate's corners in pixels, x,y,x,y,x,y,x,y; or the word frame: it fills the scan")
      ->group(kGroup);
  app.add_option("--rotate", options.rotate, "turn clockwise until upright: 90, 180 or 270")
      ->check(CLI::IsMember({"0", "90", "180", "270"}))
      ->group(kGroup);
  app.add_option("--light", options.light,
                 "reflected or transmitted (without it: transmitted for a negative, else reflected)")
      ->check(one_of<Light>())
      ->group(kGroup);
  app.add_flag("--inverted", options.inverted, "the scan was already turned into a positive")->group(kGroup);
  app.add_option("--flat", options.flat, "scan of a blank sheet in the same light and framing")
      ->group(kGroup);
  app.add_option("--reference", options.reference,
                 "scan of another plate of the same scene: what both show is no fault")
      ->group(kGroup);
  app.add_option("--sixteen-bit", options.sixteen_bit,
                 "what 16-bit values without a colour profile are: linear or gamma (sRGB)")
      ->check(one_of<UnprofiledSixteenBit>())
      ->capture_default_str()
      ->group(kGroup);
  app.add_option("--megapixels-max", options.megapixels_max, "refuse larger scans")
      ->check(CLI::Range(0.001, 100000.0))
      ->capture_default_str()
      ->group(kGroup);
  app.add_option("--jobs", options.jobs, "how many scans to work on at once (without it: one for each core)")
      ->check(CLI::Range(1, 256))
      ->group(kGroup);
}

void add_calibration_options(CLI::App& app, SharedOptions& options) {
  constexpr const char* kGroup = "Calibrations";
  app.add_option("--device", options.device, "the scanner's curve, from `platewise calibrate scanner`")
      ->group(kGroup);
  app.add_option("--curve", options.curves,
                 "your plate's curve, from `platewise calibrate plate`; one for each development time")
      ->group(kGroup);
}

void add_notes_options(CLI::App& app, SharedOptions& options) {
  constexpr const char* kGroup = "What you noted (one for all scans, or one each, parted by commas)";
  app.add_option("--exposure", options.exposure, "time in the camera: 10s, 1/4s, 2min")->group(kGroup);
  app.add_option("--development", options.development, "time in the developer: 20s")->group(kGroup);
  app.add_option("--aperture", options.aperture, "f/4")->group(kGroup);
  app.add_option("--meter", options.meter, "light meter reading in EV at ISO 100")->group(kGroup);
  app.add_option("--bellows", options.bellows,
                 "draw of the camera over the lens's focal length: 300/210mm, or 1.43")
      ->group(kGroup);
  app.add_option(
         "--reciprocity", options.reciprocity,
         "what long exposures are worth on your plates: Schwarzschild's exponent, 0.5 to 1 (1: no loss)")
      ->group(kGroup);
  app.add_option("--max-exposure", options.longest_exposure,
                 "the longest the sitter can hold still: 12s; beyond it the lens is opened instead")
      ->group(kGroup);
  app.add_option(
         "--note", options.note,
         "a remark to keep with the plate; full sun, haze, overcast, open shade or near sunset in it stand for "
         "a meter reading")
      ->group(kGroup);
  app.add_option("--settings", options.settings,
                 "a list of these by file name (CSV: file,exposure_s,development_s,aperture,meter_ev,"
                 "temperature_c,bellows,reciprocity,note)")
      ->group(kGroup);
  app.add_option("--log", options.log,
                 "write these plates into this logbook (made if there is none); see `platewise log`")
      ->group(kGroup);
  app.add_option(
         "--series", options.series,
         "plates of one scene and set-up, as \"May 3, garden\": each one scored sharpens the next advice")
      ->group(kGroup);
}

}  // namespace

void add_shared_options(CLI::App& app, SharedOptions& options) {
  app.add_option(
         "SCAN", options.scans,
         "scans or photos of finished plates (TIFF, PNG, JPEG, HEIC, JPEG 2000 or WebP), or folders of them")
      ->required()
      ->expected(1, 100000);
  add_plate_options(app, options);
  add_scan_options(app, options);
  add_calibration_options(app, options);
  add_notes_options(app, options);
}

}  // namespace platewise::cli
