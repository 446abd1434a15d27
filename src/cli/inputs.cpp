#include "inputs.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>

#include "platewise/read/formats.h"

namespace platewise::cli {
namespace {

namespace fs = std::filesystem;

bool is_called_like_a_picture(const fs::path& file) {
  constexpr std::array kEndings{".tif", ".tiff", ".png",  ".jpg",  ".jpeg", ".heic", ".heif",
                                ".jp2", ".j2k",  ".webp", ".btif", ".bmp",  ".gif"};
  std::string ending = file.extension().string();
  std::ranges::transform(ending, ending.begin(), [](unsigned char c) { return std::tolower(c); });
  return std::ranges::find(kEndings, ending) != kEndings.end();
}

bool begins_like_a_picture(const fs::path& path) {
  std::array<char, kHeadBytes> head{};
  std::ifstream file(path, std::ios::binary);
  file.read(head.data(), static_cast<std::streamsize>(head.size()));
  const auto bytes = std::as_bytes(std::span(head.data(), static_cast<std::size_t>(file.gcount())));
  return format_of(bytes) != nullptr;
}

bool is_picture(const fs::directory_entry& entry) {
  std::error_code failed;
  if (!entry.is_regular_file(failed) || entry.path().filename().string().starts_with('.')) return false;
  return is_called_like_a_picture(entry.path()) || begins_like_a_picture(entry.path());
}

std::vector<fs::path> pictures_of_folder(const fs::path& folder) {
  std::vector<fs::path> pictures;
  std::error_code failed;
  for (fs::directory_iterator entry(folder, failed), end; !failed && entry != end; entry.increment(failed)) {
    if (is_picture(*entry)) pictures.push_back(entry->path());
  }
  if (failed || pictures.empty()) return {folder};
  std::ranges::sort(pictures);
  return pictures;
}

}  // namespace

std::vector<fs::path> pictures_in(const std::vector<std::string>& named) {
  std::vector<fs::path> pictures;
  for (const std::string& name : named) {
    std::error_code failed;
    const bool folder = fs::is_directory(name, failed);
    const std::vector<fs::path> inside = folder ? pictures_of_folder(name) : std::vector<fs::path>{name};
    pictures.insert(pictures.end(), inside.begin(), inside.end());
  }
  return pictures;
}

}  // namespace platewise::cli
