#include "accuracy/faults_rendering.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "accuracy/compose.h"
#include "accuracy/plate_drawing.h"
#include "accuracy/plate_faults_shapes.h"
#include "accuracy/recording.h"
#include "accuracy/surround.h"

namespace platewise::heldout {
namespace {

constexpr int kRound = 6;
constexpr double kWorkingPxPerMm = 12.0;
constexpr double kFilmEdgeMm = 1.0;  // specks nearer to the film's edge than this count neither way

// Handbook numbers.csv: ninth, sixth, quarter plate.
constexpr std::array<std::array<double, 2>, 3> kSizesMm{{{50.8, 63.5}, {69.8, 82.5}, {82.5, 107.9}}};

struct Draft {
  PlatePlan plate;
  Scanner scanner;
  Encoding encoding;
  double px_per_mm = 12.0;
};

// The round of faults goes on from plate to plate so that every one gets its turn.
std::vector<WantedFault> drawn_faults(Random& random, const FaultPlan& plan, int index) {
  std::vector<WantedFault> wanted;
  const int turn = index / kRound * (kRound - 2) + index % kRound - 2;
  const int many = plan.only.empty() ? random.integer(1, 3) : 1;
  for (int i = 0; i < many; ++i) {
    const double cnr = random.log_uniform(1.0, 10.0);
    if (!plan.only.empty()) {
      const auto which = static_cast<std::size_t>(turn) % plan.only.size();
      wanted.push_back({plan.only[which], cnr});
      continue;
    }
    const auto& all = brushes();
    // Steps that share no factor with the twenty faults: different companions on every plate.
    const auto which = static_cast<std::size_t>(turn + i * (3 + 4 * (index / kRound % 4))) % all.size();
    const bool twice = std::any_of(wanted.begin(), wanted.end(),
                                   [&](const WantedFault& one) { return one.id == all[which].id; });
    if (!twice) wanted.push_back({std::string(all[which].id), cnr});
  }
  // Film that tears, tears last: what lies on it goes with it.
  std::stable_sort(wanted.begin(), wanted.end(), [](const WantedFault& a, const WantedFault& b) {
    const auto late = [](std::string_view id) {
      return id == "uncovered_corner" || id == "tear_hole" || id == "frilling" || id == "scratch";
    };
    return !late(a.id) && late(b.id);
  });
  return wanted;
}

// Colours have random numbers of their own, so that they change nothing else of a plate. Where colour faults
// alone are drawn every scan is in colour and half of the 8-bit ones are JPEG; else a third of the faulty
// colour scans carries one.
void colour(Draft& draft, const FaultPlan& plan, int index) {
  Random random(plan.seed * 15485863ULL + static_cast<std::uint64_t>(index) * 32452843ULL);
  const int place = index % kRound;
  const int turn = index / kRound * (kRound - 2) + place - 2;
  std::vector<std::string> ids;
  for (const std::string& id : plan.only)
    if (is_colour_fault(id)) ids.push_back(id);
  const bool alone = !ids.empty();
  const double cnr = random.log_uniform(1.0, 10.0);
  const bool third = random.chance(1.0 / 3.0);
  if (!alone) ids.assign(std::begin(kColourFaults), std::end(kColourFaults));
  // The blue sheen is seen by light that falls on the silver, not by light that goes through.
  if (!is_positive(draft.plate.process.kind)) std::erase(ids, "solarised_blue");
  Colours& colours = draft.plate.colours;
  colours.seed = random.bits();
  colours.iron = draft.plate.process.kind == PlateKind::tintype;
  const double of_glass = draft.plate.process.kind == PlateKind::ambrotype ? 0.3 : 0.0;
  colours.ruby_glass = random.chance(of_glass);
  colours.tinted = random.chance(draft.plate.subject == Subject::portrait ? 0.4 : 0.15) &&
                   is_positive(draft.plate.process.kind);
  colours.off_register = random.chance(0.4);
  const bool jpeg = random.chance(0.5);
  if (alone) {
    draft.encoding.grey = false;
    draft.encoding.jpeg = draft.encoding.bits == 8 && jpeg;
    draft.plate.colour = true;
  }
  if (place > 1 && !draft.encoding.grey && (alone || third) && !ids.empty()) {
    const std::string_view id = ids[static_cast<std::size_t>(turn) % ids.size()];
    const auto own =
        std::find(std::begin(kColourFaults), std::end(kColourFaults), id) - std::begin(kColourFaults);
    colours.faults.push_back({std::string(kColourFaults[own]), cnr});
  }
}

Draft drafted(Random& random, const FaultPlan& plan, int index) {
  Draft draft;
  PlatePlan& plate = draft.plate;
  const double kind = random.uniform();
  plate.process = drawn_process(random, kind < 0.5    ? PlateKind::tintype
                                        : kind < 0.75 ? PlateKind::ambrotype
                                                      : PlateKind::negative);
  // Nearer to right than the tones' plates: a fault on a plate without picture says little.
  const double right = is_positive(plate.process.kind) ? 1.55 : 2.1;
  plate.process.highlight_x = right + 0.5 * (plate.process.highlight_x - right);
  const auto size = kSizesMm[static_cast<std::size_t>(random.integer(0, 2))];
  const bool wide = random.chance(0.35);
  plate.width_mm = size[wide ? 1 : 0];
  plate.height_mm = size[wide ? 0 : 1];
  plate.corners = random.chance(0.5) ? CornerCut::sharp : CornerCut::clipped;
  const double rim = random.uniform();
  plate.rim = rim < 0.5 ? RimSides::four : rim < 0.75 ? RimSides::two : RimSides::none;
  plate.bare_corners = false;
  plate.film_to_the_edge = random.chance(0.6);
  const int place = index % kRound;
  plate.subject =
      static_cast<Subject>(place == 1 ? kOrdinarySubjects + index / kRound % (kSubjects - kOrdinarySubjects)
                                      : (index + index / kRound) % kOrdinarySubjects);
  plate.dirty = place > 1 && plan.only.empty() && random.chance(0.5);
  plate.mark_specks = true;
  draft.encoding.bits = random.chance(0.6) ? 16 : 8;
  draft.encoding.grey = random.chance(0.4);
  draft.encoding.profile = random.chance(0.4);
  plate.colour = !draft.encoding.grey;
  draft.scanner = drawn_scanner(random, true);
  if (plate.process.kind == PlateKind::negative) {
    draft.scanner.gain = std::max(draft.scanner.gain, 0.5);
    draft.scanner.veil *= 0.35;
  }
  draft.px_per_mm = (random.chance(0.5) ? 300.0 : 400.0) / 25.4;
  plate.px_per_mm = std::max(kWorkingPxPerMm, draft.px_per_mm);
  // 25 working pixels of the aperture are so many of the scan's.
  plate.recording_sigma = draft.scanner.read_noise / draft.scanner.gain /
                          (5.0 * std::max(1.0, draft.px_per_mm / kWorkingPxPerMm));
  FaultPlan of_silver = plan;
  std::erase_if(of_silver.only, [](const std::string& id) { return is_colour_fault(id); });
  if (place > 1 && of_silver.only.empty() == plan.only.empty())
    plate.faults = drawn_faults(random, of_silver, index);
  colour(draft, plan, index);
  return draft;
}

Polygon middle_of(const TrueMark& mark) {
  Polygon all;
  for (const Polygon& part : mark.parts_mm) all.insert(all.end(), part.begin(), part.end());
  return all;
}

// Specks off the film or at its very edge, and specks under others, count neither way.
void ignore_hidden(std::vector<TrueMark>& marks, const PlateDrawing& plate) {
  const int reach = 2 * static_cast<int>(kFilmEdgeMm * plate.plan.px_per_mm) + 1;
  cv::Mat film = plate.never_coated == 0;
  film &= plate.alpha > 0.5F;
  cv::erode(film, film, cv::Mat::ones(reach, reach, CV_8UC1), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar(0));
  std::vector<Point> kept;
  for (TrueMark& mark : marks) {
    if (mark.id != "pinhole" && mark.id != "dust_speck" && mark.id != "comet" && mark.id != "scratch")
      continue;
    Point middle{};
    const Polygon all = middle_of(mark);
    for (const Point p : all) middle = middle + (1.0 / static_cast<double>(all.size())) * p;
    const cv::Point px(static_cast<int>((middle.x + plate.border_mm) * plate.plan.px_per_mm),
                       static_cast<int>((middle.y + plate.border_mm) * plate.plan.px_per_mm));
    mark.ignored = !px.inside(cv::Rect({}, film.size())) || film.at<std::uint8_t>(px) == 0;
    if (mark.id == "scratch" || mark.id == "comet" || mark.length_mm > 1.0) continue;
    constexpr double kOneSpotMm = 0.35;
    for (const Point other : kept)
      if (distance(other, middle) < kOneSpotMm) mark.ignored = true;
    kept.push_back(middle);
  }
}

}  // namespace

FaultRendering fault_rendering(const FaultPlan& plan, int index,
                               const std::vector<std::filesystem::path>& photographs) {
  Random random(plan.seed * 7368787ULL + static_cast<std::uint64_t>(index) * 104729ULL);
  const Draft draft = drafted(random, plan, index);
  const PlateDrawing plate = drawn_plate(random, draft.plate, photographs);
  FaultRendering out;
  out.kind = draft.plate.process.kind;
  out.width_mm = draft.plate.width_mm;
  out.height_mm = draft.plate.height_mm;
  const double scale = draft.px_per_mm;
  const Point margin{random.uniform(3.0, 8.0), random.uniform(3.0, 8.0)};
  const Point centre{out.width_mm / 2, out.height_mm / 2};
  const cv::Size picture(static_cast<int>((out.width_mm + 2 * margin.x) * scale),
                         static_cast<int>((out.height_mm + 2 * margin.y) * scale));
  out.camera = scanner_view(scale, random.normal(0.0, 1.2), centre, scale * (margin + centre), 1.0);
  const cv::Mat bed =
      out.kind == PlateKind::negative ? light_table(random, picture) : white_lid(random, picture, scale);
  Laying how;
  how.shadow = out.kind == PlateKind::negative ? 0.0 : random.uniform(0.0, 0.4);
  if (out.kind == PlateKind::negative) how.bevel = random.uniform(-0.6, -0.2);
  Composition composition = laid(plate, out.camera, bed, how);
  if (draft.plate.colours.off_register && draft.plate.colour) {
    Random own(draft.plate.colours.seed + 1);
    composition.light = off_register(own, composition.light);
  }
  const std::array<Side, 4> sides = side_lines(plate, out.camera);
  for (std::size_t i = 0; i < 4; ++i) out.corners_px[i] = intersection(sides[(i + 3) % 4], sides[i]);
  out.file = scanned(random, draft.scanner, draft.encoding, composition.light, scale);
  out.file.dpi = scale * 25.4;

  out.marks = plate.marks;
  ignore_hidden(out.marks, plate);
  out.never_coated = plate.never_coated;
  out.raster_px_per_mm = draft.plate.px_per_mm;
  out.border_mm = plate.border_mm;
  out.subject = kSubjectNames[static_cast<int>(*draft.plate.subject)];
  out.clean = index % kRound < 2;
  out.line_rich = index % kRound == 1;
  std::ostringstream story;
  story << index << ' ' << name_of(out.kind) << ", " << out.subject << (out.clean ? ", clean" : "");
  for (const WantedFault& fault : draft.plate.faults)
    story << ", " << fault.id << " at " << std::lround(fault.cnr);
  for (const WantedFault& fault : draft.plate.colours.faults)
    story << ", " << fault.id << " at " << std::lround(fault.cnr);
  if (draft.plate.dirty) story << ", dirty";
  if (draft.plate.colour) {
    const Colours& colours = draft.plate.colours;
    story << (colours.ruby_glass ? ", ruby" : "") << (colours.tinted ? ", tinted" : "")
          << (colours.off_register ? ", off register" : "") << (draft.encoding.jpeg ? ", jpeg" : "");
  }
  out.story = story.str();
  return out;
}

}  // namespace platewise::heldout
