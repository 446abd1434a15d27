#include "file_check.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "platewise/read/formats.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;

class OpenFile {
 public:
  // Not blocking, so that a pipe without a writer does not hang before it is refused.
  explicit OpenFile(const fs::path& path)
      : number_(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC)), error_(errno) {}
  ~OpenFile() {
    if (number_ >= 0) ::close(number_);
  }
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;

  [[nodiscard]] bool is_open() const { return number_ >= 0; }
  [[nodiscard]] int number() const { return number_; }
  [[nodiscard]] int error() const { return error_; }

 private:
  int number_;
  int error_;
};

tl::unexpected<Problem> cannot_open(const fs::path& path, int error) {
  switch (error) {
    case ENOENT:
    case ENOTDIR:
      return failure(path.string(), "there is no such file", "check the name");
    case EACCES:
    case EPERM:
      return failure(path.string(), "no permission to read it");
    case ELOOP:
      return failure(path.string(), "is a link that leads nowhere");
    case ENXIO:
      return failure(path.string(), "is not an ordinary file", "name a picture file");
    case ENAMETOOLONG:
      return failure(path.string(), "the name is too long for a file");
    default:
      return failure(path.string(), std::string("could not be opened: ") + std::strerror(error));
  }
}

}  // namespace

Result<std::vector<std::byte>> checked_head(const fs::path& path) {
  const OpenFile file(path);
  if (!file.is_open()) return cannot_open(path, file.error());
  struct stat status = {};
  if (::fstat(file.number(), &status) != 0) return cannot_open(path, errno);
  if (S_ISDIR(status.st_mode))
    return failure(path.string(), "is a folder, and no picture was found in it",
                   "name the picture files, or the folder that holds them");
  if (!S_ISREG(status.st_mode)) {
    return failure(path.string(), "is not an ordinary file", "name a picture file");
  }
  if (status.st_size == 0) return failure(path.string(), "is empty (0 bytes)", "scan or copy it again");
  std::vector<std::byte> head(kHeadBytes);
  const ssize_t got = ::read(file.number(), head.data(), head.size());
  if (got <= 0) return failure(path.string(), "could not be read from the disk");
  head.resize(static_cast<std::size_t>(got));
  return head;
}

}  // namespace platewise
