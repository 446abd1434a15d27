#include "platewise/write/write_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <string>
#include <system_error>

namespace platewise {
namespace {

namespace fs = std::filesystem;

// The cause in plain words; errno's own text only where we have none.
std::string cause_of(int error) {
  switch (error) {
    case ENOENT:
    case ENOTDIR:
      return "its folder does not exist";
    case EACCES:
    case EPERM:
    case EROFS:
      return "no permission to write there";
    case EFBIG:
      return "larger than a file may be there";
    case ENOSPC:
    case EDQUOT:
      return "the disk is full";
    case EISDIR:
      return "it is a folder";
    case ENAMETOOLONG:
      return "the name is too long";
    default:
      return std::strerror(error);
  }
}

tl::unexpected<Problem> cannot_write(const fs::path& path, int error) {
  return failure(path.string(), "could not be written: " + cause_of(error));
}

// Returns 0 or the errno that stopped it.
int write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(file, bytes.data(), bytes.size());
    if (written < 0) {
      if (errno == EINTR) continue;
      return errno;
    }
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

// On the disk, not only in its cache: what is renamed into place must outlive a power cut too. Streams have
// no disk.
int written_to_disk(int file) {
  return ::fdatasync(file) == 0 || errno == EINVAL || errno == EROFS ? 0 : errno;
}

int write_and_close(int file, std::string_view bytes) {
  int error = write_all(file, bytes);
  if (error == 0) error = written_to_disk(file);
  const bool closed = ::close(file) == 0;
  if (error != 0) return error;
  return closed ? 0 : errno;
}

Result<void> write_directly(const fs::path& path, std::string_view bytes) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (file < 0) return cannot_write(path, errno);
  if (const int error = write_and_close(file, bytes)) return cannot_write(path, error);
  return {};
}

// A name beside the target that no other run of the program uses at the same time.
fs::path name_beside(const fs::path& path) {
  fs::path beside = path;
  beside.replace_filename("." + std::to_string(::getpid()) + ".platewise-part");
  return beside;
}

constexpr mode_t kReadableByAllWithinUmask = 0666;

// The bytes under the name `beside`. Where the file system can, they are written to a file without a name,
// which vanishes by itself when the program is killed. Returns 0 or the errno that stopped it.
int write_beside(const fs::path& beside, std::string_view bytes) {
  const fs::path folder = beside.has_parent_path() ? beside.parent_path() : fs::path(".");
  if (const int nameless =
          ::open(folder.c_str(), O_TMPFILE | O_WRONLY | O_CLOEXEC, kReadableByAllWithinUmask);
      nameless >= 0) {
    int error = write_all(nameless, bytes);
    if (error == 0) error = written_to_disk(nameless);
    const std::string by_number = "/proc/self/fd/" + std::to_string(nameless);
    const bool named =
        error == 0 && ::linkat(AT_FDCWD, by_number.c_str(), AT_FDCWD, beside.c_str(), AT_SYMLINK_FOLLOW) == 0;
    ::close(nameless);
    if (error != 0 || named) return error;
  }
  const int file =
      ::open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, kReadableByAllWithinUmask);
  return file < 0 ? errno : write_and_close(file, bytes);
}

}  // namespace

Result<void> write_file(const fs::path& path, std::string_view bytes) {
  std::error_code failed;
  const fs::file_status status = fs::status(path, failed);
  if (fs::is_directory(status)) return cannot_write(path, EISDIR);
  if (fs::exists(status) && !fs::is_regular_file(status)) return write_directly(path, bytes);

  fs::path target = path;
  if (fs::is_symlink(fs::symlink_status(path, failed))) {
    target = fs::weakly_canonical(path, failed);
    if (failed) return cannot_write(path, failed.value());
  }
  const fs::path beside = name_beside(target);
  int error = write_beside(beside, bytes);
  if (error == 0 && ::rename(beside.c_str(), target.c_str()) != 0) error = errno;
  if (error == 0) return {};
  ::unlink(beside.c_str());
  return cannot_write(path, error);
}

}  // namespace platewise
