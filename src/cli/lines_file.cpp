#include "lines_file.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <fstream>
#include <sstream>
#include <system_error>
#include <utility>

#include "platewise/write/write_file.h"

namespace platewise::cli {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Problem> cannot(const fs::path& file, const char* what, int error) {
  return failure(file.string(), std::string(what) + ": " + std::generic_category().message(error));
}

}  // namespace

LinesFile::LinesFile(fs::path file) : file_(std::move(file)) {}

LinesFile::LinesFile(LinesFile&& other) noexcept
    : file_(std::move(other.file_)),
      descriptor_(std::exchange(other.descriptor_, -1)),
      size_(other.size_),
      places_(std::move(other.places_)),
      paths_(std::move(other.paths_)) {}

LinesFile::~LinesFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

fs::path LinesFile::partial() const {
  fs::path path = file_;
  path += ".partial";
  return path;
}

Result<LinesFile> LinesFile::open(const fs::path& file, bool resume) {
  LinesFile lines(file);
  std::error_code failed;
  const bool interrupted = fs::exists(lines.partial(), failed);
  if (auto started = lines.start(); !started) return tl::make_unexpected(started.error());
  if (interrupted && !resume) {
    return failure(lines.partial().string(), "holds the plates of an interrupted run",
                   "say --resume to go on with it, or remove the file");
  }
  if (resume && !interrupted && fs::exists(file, failed)) {
    if (auto copied = lines.copy_from(file); !copied) return tl::make_unexpected(copied.error());
  }
  if (auto taken = lines.take_over(); !taken) return tl::make_unexpected(taken.error());
  return lines;
}

// Opens the partial file for this run alone.
Result<void> LinesFile::start() {
  descriptor_ = ::open(partial().c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (descriptor_ < 0) return cannot(partial(), "could not be written", errno);
  if (::flock(descriptor_, LOCK_EX | LOCK_NB) != 0) {
    return failure(partial().string(), "another run is writing it", "wait for it to end");
  }
  return {};
}

Result<void> LinesFile::copy_from(const fs::path& finished) {
  std::ifstream in(finished, std::ios::binary);
  std::ostringstream text;
  if (!(text << in.rdbuf()) && fs::file_size(finished) > 0)
    return cannot(finished, "could not be read", errno);
  return append(text.str());
}

// The whole lines that are there count as done; what follows the last of them is cut off.
Result<void> LinesFile::take_over() {
  std::ifstream in(partial(), std::ios::binary);
  if (!in) return cannot(partial(), "could not be read", errno);
  for (std::string line; std::getline(in, line) && !in.eof();) {
    note(line, {size_, line.size() + 1});
    size_ += line.size() + 1;
  }
  if (::ftruncate(descriptor_, static_cast<off_t>(size_)) != 0 || ::lseek(descriptor_, 0, SEEK_END) < 0) {
    return cannot(partial(), "could not be written", errno);
  }
  return {};
}

std::optional<ScoreIdentity> LinesFile::note(std::string_view line, Place place) {
  auto score = score_identity(line);
  if (!score) return std::nullopt;
  places_[*score] = place;
  paths_.insert(score->path);
  return score;
}

Result<void> LinesFile::append(std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(descriptor_, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return cannot(partial(), "could not be written", errno);
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return {};
}

Result<ScoreIdentity> LinesFile::add(std::string_view line) {
  const std::string text = std::string(line) + "\n";
  if (auto written = append(text); !written) return tl::make_unexpected(written.error());
  auto score = note(line, {size_, text.size()});
  size_ += text.size();
  if (!score) {
    return failure(file_.string(), "a result has no fingerprint of its scan",
                   "was the scan changed meanwhile?");
  }
  return *std::move(score);
}

Result<void> LinesFile::finish(std::span<const ScoreIdentity> order) {
  std::ifstream in(partial(), std::ios::binary);
  std::string all;
  for (const ScoreIdentity& score : order) {
    const auto place = places_.find(score);
    if (place == places_.end()) continue;
    std::string line(place->second.size, '\0');
    in.seekg(static_cast<std::streamoff>(place->second.start));
    if (!in.read(line.data(), static_cast<std::streamsize>(line.size())))
      return cannot(partial(), "could not be read", errno);
    all += line;
  }
  if (auto written = write_file(file_, all); !written) return written;
  std::error_code failed;
  fs::remove(partial(), failed);
  return {};
}

}  // namespace platewise::cli
