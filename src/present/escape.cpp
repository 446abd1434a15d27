#include "escape.h"

#include <array>
#include <cstdint>

namespace platewise {
namespace {

constexpr std::string_view kReplacement = "\uFFFD";

// Length of the valid UTF-8 sequence that starts at `at`, 0 if there is none.
std::size_t sequence_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(at);
  std::size_t length = 0;
  std::uint32_t code = 0;
  if (lead < 0x80) {
    return lead >= 0x20 || lead == '\n' || lead == '\t' ? 1 : 0;
  }
  if ((lead & 0xE0U) == 0xC0U) {
    length = 2;
    code = lead & 0x1FU;
  } else if ((lead & 0xF0U) == 0xE0U) {
    length = 3;
    code = lead & 0x0FU;
  } else if ((lead & 0xF8U) == 0xF0U) {
    length = 4;
    code = lead & 0x07U;
  }
  if (length == 0 || at + length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xC0U) != 0x80U) return 0;
    code = (code << 6U) | (byte(at + i) & 0x3FU);
  }
  constexpr std::array<std::uint32_t, 5> kLeast{0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  return code < kLeast[length] || surrogate || code > 0x10FFFF ? 0 : length;
}

std::string_view entity(char c) {
  switch (c) {
    case '&':
      return "&amp;";
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '"':
      return "&quot;";
    case '\'':
      return "&#39;";
    default:
      return {};
  }
}

}  // namespace

std::string escaped(std::string_view text) {
  std::string safe;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = sequence_length(text, at);
    if (length == 0) {
      safe += kReplacement;
      ++at;
      continue;
    }
    const std::string_view name = length == 1 ? entity(text[at]) : std::string_view{};
    safe += name.empty() ? text.substr(at, length) : name;
    at += length;
  }
  return safe;
}

std::string base64(std::span<const unsigned char> bytes) {
  constexpr std::string_view kDigits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t left = bytes.size() - i;
    const std::uint32_t block = (std::uint32_t{bytes[i]} << 16U) |
                                (left > 1 ? std::uint32_t{bytes[i + 1]} << 8U : 0U) |
                                (left > 2 ? std::uint32_t{bytes[i + 2]} : 0U);
    text += kDigits[(block >> 18U) & 63U];
    text += kDigits[(block >> 12U) & 63U];
    text += left > 1 ? kDigits[(block >> 6U) & 63U] : '=';
    text += left > 2 ? kDigits[block & 63U] : '=';
  }
  return text;
}

}  // namespace platewise
