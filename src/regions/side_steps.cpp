#include "side_steps.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr int kPlaces = 160;             // where the step is looked at, along the side
constexpr double kCornerShare = 0.1;     // of the side at either end: rounded corners, other rims
constexpr double kEdgeHundredths = 0.5;  // bevel, shadow and chips beside the plate's edge
// Of a border's penumbra and the scan's softness: in density a bright picture's reaches far into a dark rim.
constexpr double kBlurHundredths = 1.2;
constexpr std::size_t kMostCandidates = 12;

void add_steps(Profiles& profiles, const WorkingTone& working) {
  const int width = profiles.band_px;
  profiles.step = cv::Mat::zeros(profiles.tone.size(), CV_32FC1);
  profiles.least = cv::Mat(profiles.tone.size(), CV_32FC1, cv::Scalar(kSmallestSideStep));
  for (int place = 0; place < profiles.places(); ++place) {
    for (int depth = width; depth + width <= profiles.depths(); ++depth) {
      const double inside = profiles.mean(place, depth, depth + width);
      const double outside = profiles.mean(place, depth - width, depth);
      profiles.step.at<float>(place, depth) = static_cast<float>(inside - outside);
      const double noise = std::hypot(working.noise_at(inside), working.noise_at(outside));
      profiles.least.at<float>(place, depth) =
          static_cast<float>(std::max(kSmallestSideStep, kSideStepSigmas * noise));
    }
  }
}

void add_votes(Profiles& profiles) {
  const int reach = std::max(1, profiles.band_px / 2);
  cv::Mat steepest;
  cv::dilate(profiles.step, steepest, cv::Mat::ones(1, 2 * reach + 1, CV_8U), {-1, -1}, 1,
             cv::BORDER_REPLICATE);
  const cv::Mat peaks = (profiles.step >= steepest) & (profiles.step >= profiles.least);
  const int tolerance = std::max(1, profiles.band_px / 4);
  cv::dilate(peaks / 255, profiles.votes, cv::Mat::ones(1, 2 * tolerance + 1, CV_8U), {-1, -1}, 1,
             cv::BORDER_REPLICATE);
}

// Whether most of the places that vote for `trial` already vote for a better line: it only crosses that one.
bool is_told_by(const std::vector<Trial>& better, const Trial& trial, const Profiles& profiles) {
  constexpr double kMost = 0.5;
  const int begin = first_place(profiles);
  int votes = 0;
  int told = 0;
  for (int place = begin; place < profiles.places() - begin; ++place) {
    const double depth = depth_at(trial, place, profiles.places());
    if (profiles.votes.at<std::uint8_t>(place, static_cast<int>(std::lround(depth))) == 0) continue;
    ++votes;
    told += std::any_of(better.begin(), better.end(), [&](const Trial& line) {
      return std::abs(depth_at(line, place, profiles.places()) - depth) <= profiles.blur_px;
    });
  }
  return told > kMost * votes;
}

}  // namespace

Profiles profiles_of(const SideView& view, const WorkingTone& working) {
  Profiles profiles;
  const int places = std::min(kPlaces, view.tone.rows);
  cv::resize(view.tone, profiles.tone, {view.tone.cols, places}, 0, 0, cv::INTER_AREA);
  cv::resize(view.plate, profiles.plate, {view.plate.cols, places}, 0, 0, cv::INTER_AREA);
  profiles.length_px = view.length_px;
  profiles.band_px = working.step_px;
  profiles.edge_px = working.pixels(kEdgeHundredths);
  profiles.blur_px = kBlurHundredths * working.hundredth_px;
  profiles.sums = cv::Mat::zeros(places, view.tone.cols + 1, CV_64FC1);
  for (int place = 0; place < places; ++place) {
    for (int depth = 0; depth < view.tone.cols; ++depth) {
      profiles.sums.at<double>(place, depth + 1) =
          profiles.sums.at<double>(place, depth) + static_cast<double>(profiles.tone.at<float>(place, depth));
    }
  }
  add_steps(profiles, working);
  add_votes(profiles);
  return profiles;
}

int first_place(const Profiles& profiles) {
  return static_cast<int>(std::lround(kCornerShare * profiles.places()));
}

double depth_at(const Trial& trial, int place, int places) {
  return trial.first + (trial.last - trial.first) * (place + 0.5) / places;
}

std::vector<Trial> best_trials(const Profiles& profiles) {
  std::vector<Trial> trials;
  const int begin = first_place(profiles);
  const int end = profiles.places() - begin;
  const int widest = static_cast<int>(std::lround(kLargestTilt * profiles.length_px));
  for (int first = profiles.band_px; first < profiles.depths() - profiles.band_px; ++first) {
    for (int tilt = -widest; tilt <= widest; ++tilt) {
      const Trial line{static_cast<double>(first), static_cast<double>(first + tilt), 0.0};
      if (line.last < profiles.band_px || line.last >= profiles.depths() - profiles.band_px) continue;
      int votes = 0;
      for (int place = begin; place < end; ++place) {
        votes += profiles.votes.at<std::uint8_t>(
            place, static_cast<int>(std::lround(depth_at(line, place, profiles.places()))));
      }
      constexpr double kTooFew = 0.12;
      const double share = votes / static_cast<double>(end - begin);
      if (share >= kTooFew) trials.push_back({line.first, line.last, share});
    }
  }
  std::sort(trials.begin(), trials.end(), [](const Trial& a, const Trial& b) { return a.votes > b.votes; });
  std::vector<Trial> best;
  for (const Trial& trial : trials) {
    if (!is_told_by(best, trial, profiles)) best.push_back(trial);
    if (best.size() == kMostCandidates) break;
  }
  return best;
}

}  // namespace platewise
