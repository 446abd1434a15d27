#include "lines_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <fstream>
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
  if (interrupted && !resume) {
    return failure(lines.partial().string(), "holds the plates of an interrupted run",
                   "say --resume to go on with it, or remove the file");
  }
  if (resume && !interrupted && fs::exists(file, failed)) {
    fs::copy_file(file, lines.partial(), failed);
    if (failed) return cannot(lines.partial(), "could not be written", failed.value());
  }
  if (resume && fs::exists(lines.partial(), failed)) {
    if (auto taken = lines.take_over(lines.partial()); !taken) return tl::make_unexpected(taken.error());
  }
  if (auto started = lines.start(!resume); !started) return tl::make_unexpected(started.error());
  return lines;
}

Result<void> LinesFile::take_over(const fs::path& earlier) {
  std::ifstream in(earlier, std::ios::binary);
  if (!in) return cannot(earlier, "could not be read", errno);
  for (std::string line; std::getline(in, line) && !in.eof();) {  // at the end of the file: cut short
    note(line, {size_, line.size() + 1});
    size_ += line.size() + 1;
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

Result<void> LinesFile::start(bool anew) {
  const int flags = O_RDWR | O_CREAT | O_CLOEXEC | (anew ? O_EXCL : 0);
  descriptor_ = ::open(partial().c_str(), flags, 0666);
  if (descriptor_ < 0) return cannot(partial(), "could not be written", errno);
  if (::ftruncate(descriptor_, static_cast<off_t>(size_)) != 0) {
    return cannot(partial(), "could not be written", errno);
  }
  if (::lseek(descriptor_, 0, SEEK_END) < 0) return cannot(partial(), "could not be written", errno);
  return {};
}

Result<ScoreIdentity> LinesFile::add(std::string_view line) {
  const std::string text = std::string(line) + "\n";
  std::string_view left = text;
  while (!left.empty()) {
    const ssize_t written = ::write(descriptor_, left.data(), left.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return cannot(partial(), "could not be written", errno);
    left.remove_prefix(static_cast<std::size_t>(written));
  }
  auto score = note(line, {size_, text.size()});
  size_ += text.size();
  if (!score)
    return failure(file_.string(), "a result has no fingerprint of its scan",
                   "was the scan changed meanwhile?");
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
