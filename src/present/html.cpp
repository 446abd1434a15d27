#include "platewise/present/html.h"

#include <fmt/format.h>
#include <openssl/sha.h>

#include <array>
#include <initializer_list>
#include <utility>

#include "escape.h"
#include "page.h"
#include "pictures.h"
#include "platewise/json/score_json.h"
#include "platewise/present/section.h"
#include "series_page.h"
#include "words.h"

namespace platewise {
namespace {

std::string sha256_base64(std::string_view text) {
  std::array<unsigned char, SHA256_DIGEST_LENGTH> digest{};
  SHA256(reinterpret_cast<const unsigned char*>(text.data()), text.size(), digest.data());
  return base64(digest);
}

// Each {{NAME}} of the template once, in order; values are not searched again.
std::string filled(std::string_view text,
                   std::initializer_list<std::pair<std::string_view, std::string_view>> values) {
  std::string page;
  while (!text.empty()) {
    const std::size_t open = text.find("{{");
    page += text.substr(0, open);
    if (open == std::string_view::npos) break;
    const std::size_t close = text.find("}}", open);
    const std::string_view name = text.substr(open + 2, close - open - 2);
    for (const auto& [key, value] : values) {
      if (key == name) page += value;
    }
    text.remove_prefix(close + 2);
  }
  return page;
}

// JSON inside a script element must not be able to close it.
std::string json_for_script(const std::string& json) {
  std::string safe;
  for (const char c : json) {
    if (c == '<') {
      safe += "\\u003c";
    } else {
      safe += c;
    }
  }
  return safe;
}

// The same document that --json writes.
std::string data_of(std::span<const PlateScore> plates) {
  return json_for_script(plates.size() == 1 ? score_json(plates.front()) : scores_json(plates));
}

std::string file_name(const PlateScore& score) {
  return score.scan.path.filename().string();
}

Result<std::string> article(const SectionPlate& plate, bool alone) {
  const std::string name =
      alone ? file_name(plate.score) : fmt::format(words::kPlateNumber, plate.number, file_name(plate.score));
  std::string html = fmt::format(
      "<article id=\"plate-{0}\" aria-labelledby=\"plate-{0}-name\">"
      "<h2 id=\"plate-{0}-name\" class=\"name\">{1}</h2>",
      plate.number, escaped(name));
  for (const Section& section : report_sections()) {
    if (!section.applies(plate.score)) continue;
    Result<std::string> body = section.body_html(plate);
    if (!body) return body;
    html += fmt::format(
        "<section id=\"plate-{0}-{1}\" aria-labelledby=\"plate-{0}-{1}-title plate-{0}-name\">"
        "<h3 id=\"plate-{0}-{1}-title\">{2}</h3>{3}</section>",
        plate.number, section.id, escaped(section.title), *body);
  }
  return html + "</article>";
}

std::string title_of(std::span<const PlateScore> plates) {
  if (plates.size() == 1) return fmt::format("{}: {}", words::kPage, file_name(plates.front()));
  return fmt::format(words::kPageOfMany, plates.size());
}

Result<std::string> body_of(std::span<const PlateScore> plates) {
  const PictureSizes sizes = picture_sizes(plates.size());
  std::string body;
  if (plates.size() > 1) {
    Result<std::string> series = series_html(plates);
    if (!series) return series;
    body += *series;
  }
  for (std::size_t i = 0; i < plates.size(); ++i) {
    Result<std::string> one = article({plates[i], i + 1, sizes}, plates.size() == 1);
    if (!one) return one;
    body += *one;
  }
  return body;
}

}  // namespace

Result<std::string> report_html(std::span<const PlateScore> plates) {
  Result<std::string> body = body_of(plates);
  if (!body) return body;
  const std::string heading =
      plates.size() == 1 ? std::string(words::kPage) : fmt::format(words::kPageOfMany, plates.size());
  return filled(page::kTemplate, {{"LANGUAGE", words::kLanguage},
                                  {"STYLE_HASH", sha256_base64(page::kStyle)},
                                  {"SCRIPT_HASH", sha256_base64(page::kScript)},
                                  {"TITLE", escaped(title_of(plates))},
                                  {"HEADING", heading},
                                  {"STYLE", page::kStyle},
                                  {"SCRIPT", page::kScript},
                                  {"SKIP", words::kSkip},
                                  {"ROOM_BUTTON", words::kRoomButton},
                                  {"ROOM_CAUTION", words::kRoomCaution},
                                  {"BODY", *body},
                                  {"DATA", data_of(plates)}});
}

}  // namespace platewise
