#include "platewise/core/result.h"

#include <fmt/format.h>

namespace platewise {
namespace {

std::string on_one_line(const std::string& text) {
  std::string line;
  for (const char c : text) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      line += c == '\n' ? "\\n" : fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
    } else {
      line += c;
    }
  }
  return line;
}

}  // namespace

std::string Problem::message() const {
  std::string line = where.empty() ? on_one_line(what) : on_one_line(where) + ": " + on_one_line(what);
  if (!remedy.empty()) line += " (" + on_one_line(remedy) + ")";
  return line;
}

}  // namespace platewise
