#include "scoring.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <exception>
#include <mutex>
#include <thread>
#include <utility>

#include "platewise/core/in_order.h"
#include "platewise/read/read_scan.h"

namespace platewise::cli {
namespace {

void add_warnings(PlateScore& score, const Warnings& more) {
  for (const std::string& warning : more) {
    const auto& all = score.warnings;
    if (std::find(all.begin(), all.end(), warning) == all.end()) score.warnings.push_back(warning);
  }
}

// How far the whole run is and how long it still takes, from the parts of the plates that are done.
class RunProgress {
 public:
  RunProgress(std::size_t plates, Console& console) : parts_(plates), console_(console) {}

  void set(std::size_t plate, double part) {
    const std::lock_guard lock(mutex_);
    sum_ += part - std::exchange(parts_[plate], part);
    finished_ += part >= 1.0 ? 1 : 0;
    const double done = sum_ / static_cast<double>(parts_.size());
    console_.progress(done, fmt::format("{} of {} plates{}", finished_, parts_.size(), time_left(done)));
  }

 private:
  using Clock = std::chrono::steady_clock;

  [[nodiscard]] std::string time_left(double done) const {
    constexpr double kTooEarlyToTell = 0.03;
    if (done < kTooEarlyToTell) return "";
    const std::chrono::duration<double> gone = Clock::now() - started_;
    const double left_s = gone.count() * (1.0 - done) / done;
    if (left_s < 60.0) return fmt::format(", about {:.0f} s left", left_s);
    return fmt::format(", about {:.0f} min left", std::ceil(left_s / 60.0));
  }

  std::mutex mutex_;
  std::vector<double> parts_;
  double sum_ = 0.0;
  std::size_t finished_ = 0;
  Clock::time_point started_ = Clock::now();
  Console& console_;
};

// Libraries may throw where memory runs out; a worker must come back with a value.
Result<PlateScore> scored(const PlateRequest& request, const ScoreOptions& options) {
  try {
    return score_plate(request.path, options);
  } catch (const std::exception& exception) {
    return failure(request.path.string(), std::string("could not be scored: ") + exception.what());
  }
}

std::size_t workers(int jobs, std::size_t plates) {
  const std::size_t wanted = jobs > 0 ? static_cast<std::size_t>(jobs) : std::thread::hardware_concurrency();
  return std::clamp<std::size_t>(wanted, 1, std::max<std::size_t>(plates, 1));
}

}  // namespace

ExitCode score_each(const std::vector<PlateRequest>& requests, int jobs, Console& console,
                    const std::function<void(PlateScore, std::size_t)>& take) {
  // Reading takes about this part of a plate's time; what follows comes in one step.
  constexpr double kReadingShare = 0.5;
  ExitCode code = ExitCode::done;
  RunProgress progress(requests.size(), console);
  const std::size_t crew = workers(jobs, requests.size());
  if (crew > 1) PictureLibrary::threads_per_picture(1);
  in_order(
      requests.size(), crew,
      [&](std::size_t i) {
        ScoreOptions options = requests[i].options;
        options.read.progress = [&progress, i](double done) { progress.set(i, kReadingShare * done); };
        Result<PlateScore> score = scored(requests[i], options);
        progress.set(i, 1.0);
        return score;
      },
      [&](Result<PlateScore> score, std::size_t i) {
        if (!score) {
          console.complain(score.error());
          code = ExitCode::input_unusable;
          return;
        }
        add_warnings(*score, requests[i].warnings);
        score->asked_sha256 = requests[i].asked_sha256;
        take(*std::move(score), i);
      });
  console.clear_progress();
  return code;
}

bool succeeded(const Result<void>& result, Console& console) {
  if (!result) console.complain(result.error());
  return result.has_value();
}

}  // namespace platewise::cli
