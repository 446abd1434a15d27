#include "document.h"

#include <fstream>
#include <iterator>
#include <system_error>

namespace platewise::json {
namespace {

namespace fs = std::filesystem;

// Deeper than anything we write; guards what walks the document recursively.
constexpr int kDeepest = 64;

bool too_deep(std::string_view text) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_string && c == '\\') {
      ++i;
    } else if (c == '"') {
      in_string = !in_string;
    } else if (!in_string && (c == '{' || c == '[')) {
      if (++depth > kDeepest) return true;
    } else if (!in_string && (c == '}' || c == ']')) {
      --depth;
    }
  }
  return false;
}

}  // namespace

Result<nlohmann::json> parsed(std::string_view text, const std::string& where) {
  if (too_deep(text)) return failure(where, "is nested too deeply to be one of our files");
  nlohmann::json document = nlohmann::json::parse(text, nullptr, false);
  if (document.is_discarded()) {
    return failure(where, "is not a JSON file", "use a file as `platewise calibrate` writes it");
  }
  return document;
}

Result<std::string> text_of_file(const fs::path& path) {
  constexpr std::uintmax_t kLargestBytes = 16U << 20U;
  std::error_code failed;
  const fs::file_status status = fs::status(path, failed);
  if (!fs::exists(status)) return failure(path.string(), "there is no such file", "check the name");
  if (fs::is_directory(status)) return failure(path.string(), "is a folder", "name a file");
  if (!fs::is_regular_file(status)) return failure(path.string(), "is not an ordinary file");
  if (fs::file_size(path, failed) > kLargestBytes || failed) {
    return failure(path.string(), "is larger than 16 MB: not one of our files");
  }
  std::ifstream file(path, std::ios::binary);
  if (!file) return failure(path.string(), "no permission to read it");
  return std::string(std::istreambuf_iterator<char>(file), {});
}

}  // namespace platewise::json
