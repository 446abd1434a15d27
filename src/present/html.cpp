#include "platewise/present/html.h"

#include <fmt/format.h>

#include <utility>

#include "escape.h"
#include "pictures.h"
#include "platewise/json/score_json.h"
#include "platewise/present/section.h"
#include "series_page.h"
#include "whole_page.h"
#include "words.h"

namespace platewise {
namespace {

// The same document that --json writes.
std::string data_of(std::span<const PlateScore> plates) {
  return plates.size() == 1 ? score_json(plates.front()) : scores_json(plates);
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
  return whole_page({.title = escaped(title_of(plates)),
                     .heading = heading,
                     .skip = std::string(words::kSkip),
                     .body = *std::move(body),
                     .data = data_of(plates)});
}

}  // namespace platewise
