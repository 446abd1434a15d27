// What real pictures tell about the faults found on them, without anybody's truth: a plate that carries three
// frames of one scene. What all three frames show at one place is picture; a mark in one frame alone is a
// fault.
//   platewise_real_faults PICTURE...
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <iostream>
#include <map>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "platewise/align/align.h"
#include "platewise/pipeline/score_plate.h"
#include "platewise/read/read_scan.h"

namespace platewise::real {
namespace {

constexpr int kFrames = 3;
constexpr double kReachPx = 4.0;  // two marks nearer than this are at the same place: 1 % of a frame
constexpr double kMarkSigmas =
    7.0;  // a mark of one frame stands out by this many grain sigmas against both others
constexpr double kAgreeSigmas = 2.0;     // while the others agree within this many
constexpr int kLeastMarkPx = 5;          // and is at least so large
constexpr double kFrameRimShare = 0.08;  // of a frame's side: rims and holder edges are not compared

struct Frame {
  DensityImage image;
  Point origin;  // in the plate, units

  [[nodiscard]] double height() const { return image.rows() / image.px_per_unit; }
  [[nodiscard]] double width() const { return image.cols() / image.px_per_unit; }
};

std::array<Frame, kFrames> frames_of(const PlateDensity& plate) {
  std::array<Frame, kFrames> frames;
  for (int i = 0; i < kFrames; ++i) {
    const int top = plate.image.rows() * i / kFrames;
    const int bottom = plate.image.rows() * (i + 1) / kFrames;
    Frame& frame = frames[static_cast<std::size_t>(i)];
    frame.image = {plate.image.density.rowRange(top, bottom).clone(), plate.image.px_per_unit};
    frame.origin = {0.0, top / plate.image.px_per_unit};
  }
  return frames;
}

// maps[i][j] takes frame i's units to frame j's; empty where the two could not be laid on one another.
using Maps = std::array<std::array<std::optional<Homography>, kFrames>, kFrames>;

Maps maps_between(const std::array<Frame, kFrames>& frames) {
  Maps maps;
  for (std::size_t i = 0; i < kFrames; ++i) {
    for (std::size_t j = i + 1; j < kFrames; ++j) {
      const auto alignment = aligned(frames[i].image, {}, frames[j].image, {});
      if (!alignment) continue;
      maps[i][j] = alignment->second_from_first;
      maps[j][i] = alignment->second_from_first.inverse();
    }
  }
  return maps;
}

std::size_t frame_at(const std::array<Frame, kFrames>& frames, double y) {
  std::size_t frame = 0;
  while (frame + 1 < kFrames && y >= frames[frame + 1].origin.y) ++frame;
  return frame;
}

Point centre_of(const Fault& fault) {
  return fault.box_origin + Point{fault.box_width / 2, fault.box_height / 2};
}

bool holds(const Fault& fault, Point place, double reach) {
  return place.x >= fault.box_origin.x - reach && place.y >= fault.box_origin.y - reach &&
         place.x <= fault.box_origin.x + fault.box_width + reach &&
         place.y <= fault.box_origin.y + fault.box_height + reach;
}

struct Tally {
  int found = 0;      // faults of this kind whose frame could be laid on at least one other
  int recurring = 0;  // of them, those that another frame shows at the same place: picture, so false
};

struct Plate {
  std::map<std::string, Tally> kinds;
  int marks = 0;        // seen in one frame alone
  int marks_found = 0;  // of them, inside a found fault
};

void judge_faults(const Faults& faults, const std::array<Frame, kFrames>& frames, const Maps& maps,
                  Plate& plate) {
  for (const Fault& fault : faults.found) {
    const Point centre = centre_of(fault);
    const std::size_t own = frame_at(frames, centre.y);
    const Frame& frame = frames[own];
    if (fault.box_height > frame.height()) continue;
    bool judged = false;
    bool recurs = false;
    for (std::size_t other = 0; other < kFrames; ++other) {
      if (!maps[own][other]) continue;
      const Point there = (*maps[own][other])(centre - frame.origin) + frames[other].origin;
      judged = true;
      recurs = recurs || std::ranges::any_of(faults.found, [&](const Fault& second) {
                 return second.id == fault.id && frame_at(frames, centre_of(second).y) == other &&
                        holds(second, there, kReachPx / frame.image.px_per_unit);
               });
    }
    if (!judged) continue;
    Tally& tally = plate.kinds[fault.id];
    ++tally.found;
    tally.recurring += recurs;
  }
}

// Local detail in units of its own local strength, so that frames under different light compare.
cv::Mat detail_of(const cv::Mat& density) {
  cv::Mat values = density.clone();
  cv::patchNaNs(values, 0.0);
  cv::Mat level;
  cv::GaussianBlur(values, level, {0, 0}, 8.0);
  cv::Mat detail = values - level;
  cv::GaussianBlur(detail, detail, {0, 0}, 1.0);
  return detail;
}

double grain_of(const cv::Mat& difference) {
  std::vector<float> sizes;
  for (auto value = difference.begin<float>(); value != difference.end<float>(); ++value)
    sizes.push_back(std::abs(*value));
  std::ranges::nth_element(sizes, sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2));
  return 1.4826 * sizes[sizes.size() / 2];
}

cv::Mat laid_on(const Frame& second, const Frame& first, const Homography& second_from_first) {
  cv::Matx33d scale_first = cv::Matx33d::eye();
  scale_first(0, 0) = scale_first(1, 1) = 1.0 / first.image.px_per_unit;
  cv::Matx33d scale_second = cv::Matx33d::eye();
  scale_second(0, 0) = scale_second(1, 1) = second.image.px_per_unit;
  cv::Matx33d map;
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) map(r, c) = second_from_first.matrix(r, c);
  }
  cv::Mat out;
  cv::warpPerspective(detail_of(second.image.density), out, cv::Mat(scale_second * map * scale_first),
                      first.image.density.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP);
  return out;
}

// Counts what frame `own` shows and neither other does.
void judge_marks(std::size_t own, const std::array<Frame, kFrames>& frames, const Maps& maps,
                 const Faults& faults, Plate& plate) {
  const Frame& frame = frames[own];
  const cv::Mat detail = detail_of(frame.image.density);
  cv::Mat alone = cv::Mat(detail.size(), CV_8UC1, cv::Scalar(255));
  std::vector<cv::Mat> others;
  for (std::size_t other = 0; other < kFrames; ++other) {
    if (other == own) continue;
    if (!maps[own][other]) return;
    others.push_back(laid_on(frames[other], frame, *maps[own][other]));
    const cv::Mat difference = cv::abs(detail - others.back());
    alone &= difference > kMarkSigmas * grain_of(difference);
  }
  // Coloured things differ from frame to frame too, but then no two frames agree.
  const cv::Mat between = cv::abs(others[0] - others[1]);
  alone &= between < kAgreeSigmas * grain_of(between);
  const int rim = static_cast<int>(kFrameRimShare * std::min(alone.rows, alone.cols));
  cv::rectangle(alone, cv::Rect(0, 0, alone.cols, alone.rows), cv::Scalar(0), 2 * rim);
  cv::Mat labels;
  cv::Mat stats;
  cv::Mat centres;
  const int count = cv::connectedComponentsWithStats(alone, labels, stats, centres);
  for (int i = 1; i < count; ++i) {
    if (stats.at<int>(i, cv::CC_STAT_AREA) < kLeastMarkPx) continue;
    const Point place = Point{centres.at<double>(i, 0) / frame.image.px_per_unit,
                              centres.at<double>(i, 1) / frame.image.px_per_unit} +
                        frame.origin;
    ++plate.marks;
    plate.marks_found += std::ranges::any_of(faults.found, [&](const Fault& fault) {
      return holds(fault, place, kReachPx / frame.image.px_per_unit);
    });
  }
}

std::optional<Plate> judged(const std::filesystem::path& picture) {
  ScoreOptions options;
  options.kind = PlateKind::tintype;  // shown as positives: lost film is black
  const Result<PlateScore> score = score_plate(picture, options);
  if (!score) {
    std::cerr << score.error().message() << '\n';
    return std::nullopt;
  }
  if (!score->density) {
    std::cerr << picture.filename().string() << ": no plate found\n";
    return std::nullopt;
  }
  const auto frames = frames_of(*score->density);
  const Maps maps = maps_between(frames);
  const bool laid = maps[0][1] || maps[0][2] || maps[1][2];
  if (!laid) std::cerr << picture.filename().string() << ": its frames could not be laid on one another\n";
  Plate plate;
  judge_faults(score->faults, frames, maps, plate);
  for (std::size_t own = 0; own < kFrames; ++own) judge_marks(own, frames, maps, score->faults, plate);
  return plate;
}

double percent(int part, int whole) {
  return whole == 0 ? 0.0 : 100.0 * part / whole;
}

int run(int count, char** files) {
  std::map<std::string, Tally> kinds;
  int marks = 0;
  int marks_found = 0;
  for (int i = 0; i < count; ++i) {
    const auto plate = judged(files[i]);
    if (!plate) continue;
    int recurring = 0;
    int found = 0;
    for (const auto& [id, tally] : plate->kinds) {
      kinds[id].found += tally.found;
      kinds[id].recurring += tally.recurring;
      found += tally.found;
      recurring += tally.recurring;
    }
    fmt::print("{}: {} faults, {} recur; {} marks in one frame alone, {} of them found\n",
               std::filesystem::path(files[i]).filename().string(), found, recurring, plate->marks,
               plate->marks_found);
    marks += plate->marks;
    marks_found += plate->marks_found;
  }
  fmt::print("\n{:<20} {:>6} {:>10} {:>9}\n", "fault", "found", "recurring", "share");
  Tally all;
  for (const auto& [id, tally] : kinds) {
    fmt::print("{:<20} {:>6} {:>10} {:>8.0f}%\n", id, tally.found, tally.recurring,
               percent(tally.recurring, tally.found));
    all.found += tally.found;
    all.recurring += tally.recurring;
  }
  fmt::print("{:<20} {:>6} {:>10} {:>8.0f}% (at most 10% wanted)\n", "all", all.found, all.recurring,
             percent(all.recurring, all.found));
  fmt::print("marks in one frame alone: {}, found {} ({:.0f}%)\n", marks, marks_found,
             percent(marks_found, marks));
  return 0;
}

}  // namespace
}  // namespace platewise::real

int main(int argc, char** argv) {
  const platewise::PictureLibrary library("platewise_real_faults");
  return platewise::real::run(argc - 1, argv + 1);
}
