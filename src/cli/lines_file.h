#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>

#include "platewise/core/result.h"
#include "platewise/json/score_line.h"

namespace platewise::cli {

// The scores of a long run, one JSON object a line. While it runs the lines go to FILE.partial, each whole as
// soon as its plate is done; `finish` makes FILE of them in the order of the inputs. After an interruption
// the partial file is all that is needed to go on.
class LinesFile {
 public:
  // With `resume` the lines of FILE.partial, or else of FILE, count as done; a line cut short is dropped.
  // Fails when FILE.partial is there and `resume` is not wanted, when another run is writing it, or when it
  // cannot be written.
  [[nodiscard]] static Result<LinesFile> open(const std::filesystem::path& file, bool resume);

  LinesFile(LinesFile&& other) noexcept;
  LinesFile& operator=(LinesFile&&) = delete;
  LinesFile(const LinesFile&) = delete;
  LinesFile& operator=(const LinesFile&) = delete;
  ~LinesFile();

  [[nodiscard]] bool holds_path(const std::string& path) const { return paths_.contains(path); }
  [[nodiscard]] bool holds(const ScoreIdentity& score) const { return places_.contains(score); }

  // The line as score_json wrote it, without line end; tells which score it was.
  [[nodiscard]] Result<ScoreIdentity> add(std::string_view line);

  // FILE gets the lines of these scores in this order; those it does not hold are left out.
  [[nodiscard]] Result<void> finish(std::span<const ScoreIdentity> order);

 private:
  struct Place {
    std::size_t start = 0;
    std::size_t size = 0;  // with the line end
  };

  explicit LinesFile(std::filesystem::path file);
  [[nodiscard]] std::filesystem::path partial() const;
  [[nodiscard]] Result<void> start();
  [[nodiscard]] Result<void> copy_from(const std::filesystem::path& finished);
  [[nodiscard]] Result<void> take_over();
  [[nodiscard]] Result<void> append(std::string_view text);
  std::optional<ScoreIdentity> note(std::string_view line, Place place);

  std::filesystem::path file_;
  int descriptor_ = -1;
  std::size_t size_ = 0;
  std::map<ScoreIdentity, Place> places_;
  std::set<std::string> paths_;
};

}  // namespace platewise::cli
