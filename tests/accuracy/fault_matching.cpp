#include "accuracy/fault_matching.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <set>

namespace platewise::accuracy {
namespace {

constexpr double kRasterPxPerMm = 4.0;
constexpr double kWidenLineMm = 0.75;
constexpr double kWidenMm = 0.25;
constexpr double kLeastPart = 1.0 / 3.0;
constexpr double kLeastOnIt = 0.5;
constexpr double kLeastOverlap = 0.3;
constexpr double kSpeckReachMm = 0.5;
constexpr double kAngleReachDeg = 20.0;

const std::set<std::string> kLines{"comet", "scratch", "stall_line", "bath_halt_line"};
const std::set<std::string> kStraight{"comet", "scratch", "pour_ridges", "dip_streaks"};

struct Frame {
  cv::Size size;
  double border_mm = 3.0;
};

cv::Mat widened(const Frame& frame, const std::vector<Polygon>& parts_mm, double by_mm) {
  cv::Mat mask = cv::Mat::zeros(frame.size, CV_8UC1);
  for (const Polygon& part : parts_mm) {
    std::vector<cv::Point> points;
    for (const Point p : part)
      points.emplace_back(static_cast<int>((p.x + frame.border_mm) * kRasterPxPerMm),
                          static_cast<int>((p.y + frame.border_mm) * kRasterPxPerMm));
    if (!points.empty()) cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255));
  }
  const int reach = 2 * static_cast<int>(std::lround(by_mm * kRasterPxPerMm)) + 1;
  cv::dilate(mask, mask, cv::getStructuringElement(cv::MORPH_ELLIPSE, {reach, reach}));
  return mask;
}

Point middle(const Polygon& outline) {
  Point low{1e9, 1e9};
  Point high{-1e9, -1e9};
  for (const Point p : outline) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  return 0.5 * (low + high);
}

bool angles_agree(const heldout::TrueMark& mark, const FoundMark& found) {
  if (!found.angle_deg || !kStraight.contains(mark.id)) return true;
  const double apart = std::fmod(std::abs(*found.angle_deg - mark.angle_deg), 180.0);
  return std::min(apart, 180.0 - apart) <= kAngleReachDeg;
}

double share(const cv::Mat& a, const cv::Mat& of) {
  const int all = cv::countNonZero(of);
  return all > 0 ? cv::countNonZero(a & of) / static_cast<double>(all) : 0.0;
}

class Matcher {
 public:
  Matcher(const std::vector<FoundMark>& found, const heldout::FaultRendering& rendering)
      : found_(found), rendering_(rendering) {
    frame_.border_mm = rendering.border_mm;
    frame_.size = {static_cast<int>((rendering.width_mm + 2 * frame_.border_mm) * kRasterPxPerMm),
                   static_cast<int>((rendering.height_mm + 2 * frame_.border_mm) * kRasterPxPerMm)};
    out_.seen.assign(rendering.marks.size(), false);
    out_.named_right.assign(rendering.marks.size(), false);
    out_.verdicts.assign(found.size(), Verdict::wrong);
    out_.lies_on.assign(found.size(), -1);
  }

  Matching run() {
    match_specks();
    for (std::size_t m = 0; m < rendering_.marks.size(); ++m)
      if (!is_speck(rendering_.marks[m].id)) match_shape(m);
    excuse_never_coated();
    name_confusions();
    return std::move(out_);
  }

 private:
  void settle(std::size_t m, std::size_t f) {
    const heldout::TrueMark& mark = rendering_.marks[m];
    const bool claims = counts(mark) && mark.cnr >= kLeastCnr;
    if (claims || out_.verdicts[f] != Verdict::hit)
      out_.verdicts[f] = claims ? Verdict::hit : Verdict::neither;
  }

  void match_specks() {
    struct Pair {
      double apart;
      std::size_t mark;
      std::size_t found;
    };
    std::vector<Pair> pairs;
    for (std::size_t m = 0; m < rendering_.marks.size(); ++m) {
      const heldout::TrueMark& mark = rendering_.marks[m];
      if (!is_speck(mark.id) || mark.parts_mm.empty()) continue;
      const Point at = middle(mark.parts_mm.front());
      const double reach = std::max(kSpeckReachMm, 0.5 * mark.length_mm);
      for (std::size_t f = 0; f < found_.size(); ++f) {
        const double apart = distance(at, found_[f].centre_mm);
        if (is_speck(found_[f].id) && apart <= reach) pairs.push_back({apart / reach, m, f});
      }
    }
    // Marks that count come first, then the nearest.
    std::stable_sort(pairs.begin(), pairs.end(), [&](const Pair& a, const Pair& b) {
      const bool first = counts(rendering_.marks[a.mark]);
      const bool second = counts(rendering_.marks[b.mark]);
      return first != second ? first : a.apart < b.apart;
    });
    std::vector<bool> used(found_.size(), false);
    for (const Pair& pair : pairs) {
      if (used[pair.found] || out_.seen[pair.mark]) continue;
      used[pair.found] = out_.seen[pair.mark] = true;
      out_.named_right[pair.mark] = found_[pair.found].id == rendering_.marks[pair.mark].id;
      settle(pair.mark, pair.found);
    }
  }

  void match_shape(std::size_t m) {
    const heldout::TrueMark& mark = rendering_.marks[m];
    const double by = kLines.contains(mark.id) ? kWidenLineMm : kWidenMm;
    const cv::Mat truth = widened(frame_, mark.parts_mm, by);
    cv::Mat together = cv::Mat::zeros(frame_.size, CV_8UC1);
    std::vector<std::size_t> on_it;
    for (std::size_t f = 0; f < found_.size(); ++f) {
      if (found_[f].id != mark.id || !angles_agree(mark, found_[f])) continue;
      const cv::Mat finding = widened(frame_, {found_[f].outline_mm}, by);
      const double both = cv::countNonZero(truth & finding);
      const double either = cv::countNonZero(truth | finding);
      const bool alone = either > 0 && both / either >= kLeastOverlap;
      if (!alone && share(truth, finding) < kLeastOnIt) continue;
      on_it.push_back(f);
      together |= finding;
      if (alone) out_.seen[m] = true;
    }
    if (share(together, truth) >= kLeastPart) out_.seen[m] = true;
    out_.named_right[m] = out_.seen[m];
    for (const std::size_t f : on_it) {
      if (out_.seen[m])
        settle(m, f);
      else if (out_.verdicts[f] == Verdict::wrong)
        out_.verdicts[f] = Verdict::neither;
    }
  }

  void excuse_never_coated() {
    cv::Mat bare;
    cv::resize(rendering_.never_coated, bare, frame_.size, 0, 0, cv::INTER_AREA);
    bare = bare > 100;
    cv::dilate(bare, bare, cv::Mat::ones(5, 5, CV_8UC1));  // half a millimetre of its soft edge
    for (std::size_t f = 0; f < found_.size(); ++f)
      if (out_.verdicts[f] == Verdict::wrong &&
          share(bare, widened(frame_, {found_[f].outline_mm}, 0.0)) >= kLeastOnIt)
        out_.verdicts[f] = Verdict::neither;
  }

  void name_confusions() {
    for (std::size_t m = 0; m < rendering_.marks.size(); ++m) {
      const heldout::TrueMark& mark = rendering_.marks[m];
      if (mark.cnr < kFaintestCnr) continue;
      const cv::Mat truth = widened(frame_, mark.parts_mm, kWidenMm);
      for (std::size_t f = 0; f < found_.size(); ++f) {
        if (out_.verdicts[f] != Verdict::wrong || out_.lies_on[f] >= 0) continue;
        if (share(truth, widened(frame_, {found_[f].outline_mm}, 0.0)) >= kLeastOnIt)
          out_.lies_on[f] = static_cast<int>(m);
      }
    }
  }

  const std::vector<FoundMark>& found_;
  const heldout::FaultRendering& rendering_;
  Frame frame_;
  Matching out_;
};

}  // namespace

std::vector<FoundMark> in_true_mm(const std::vector<Fault>& found, const PlateOutline& outline,
                                  const heldout::FaultRendering& rendering) {
  const Homography scan_from_plate = outline.scan_from_plate();
  std::vector<FoundMark> marks;
  for (const Fault& fault : found) {
    FoundMark mark{fault.id, {}, {}, fault.angle_deg};
    for (const Point p : fault.outline_units)
      mark.outline_mm.push_back(rendering.camera.mm(scan_from_plate(p)));
    mark.centre_mm = middle(mark.outline_mm);
    marks.push_back(std::move(mark));
  }
  return marks;
}

Matching matched(const std::vector<FoundMark>& found, const heldout::FaultRendering& rendering) {
  return Matcher(found, rendering).run();
}

bool counts(const heldout::TrueMark& mark) {
  return !mark.ignored && mark.cnr >= kFaintestCnr && mark.length_mm >= kLeastSizeMm &&
         !mark.parts_mm.empty();
}

bool is_speck(const std::string& id) {
  return id == "pinhole" || id == "dust_speck";
}

}  // namespace platewise::accuracy
