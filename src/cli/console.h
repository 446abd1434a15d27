#pragma once

#include <chrono>
#include <functional>
#include <mutex>
#include <string>
#include <string_view>

#include "platewise/core/result.h"
#include "platewise/present/text.h"

namespace platewise::cli {

// Standard output and error. Nothing else in the program writes to them.
class Console {
 public:
  Console();

  // Results. A reader that went away (`| head`) is no error: the rest is dropped.
  void print(std::string_view text);

  // One line on standard error for a problem or a remark.
  void complain(const Problem& problem);
  void remark(std::string_view line);

  // Something could not be written to standard output although somebody reads it (a full disk, say).
  [[nodiscard]] bool output_failed() const { return output_failed_; }

  // Colour and width of standard output: colour only on a terminal, unless NO_COLOR is set.
  [[nodiscard]] TextStyle style() const;

  // A bar on standard error, only when it is a terminal and the work has lasted a second.
  // May be called from any thread.
  void progress(double done, const std::string& what);
  void clear_progress();

 private:
  using Clock = std::chrono::steady_clock;

  std::mutex mutex_;
  Clock::time_point started_ = Clock::now();
  Clock::time_point drawn_;
  bool errors_on_terminal_ = false;
  bool bar_shown_ = false;
  bool reader_gone_ = false;
  bool output_failed_ = false;
};

// No colour asked for by anyone: https://no-color.org, NO_COLOR set and not empty.
[[nodiscard]] bool colour_is_wanted();

}  // namespace platewise::cli
