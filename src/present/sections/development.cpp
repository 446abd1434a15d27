#include "platewise/sensitometry/development.h"

#include <fmt/format.h>

#include <algorithm>

#include "../escape.h"
#include "../numbers.h"
#include "../words.h"
#include "sections.h"

namespace platewise::sections {
namespace {

struct Times {
  double shortest_s = 1e9;
  double longest_s = 0.0;
};

Times times_of(const std::vector<PlateCurve>& curves) {
  Times times;
  for (const PlateCurve& curve : curves) {
    if (!curve.development_s) continue;
    times.shortest_s = std::min(times.shortest_s, *curve.development_s);
    times.longest_s = std::max(times.longest_s, *curve.development_s);
  }
  return times;
}

std::string growth_row(std::string_view name, const Growth& growth, const Times& times) {
  return fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td></tr>", escaped(name),
                     escaped(density_text(growth.change(times.shortest_s, times.longest_s))),
                     escaped(share_text(growth.no_growth_probability())));
}

}  // namespace

std::string development_html(const std::vector<PlateCurve>& curves) {
  const Times times = times_of(curves);
  if (!(times.shortest_s < times.longest_s)) return {};
  const auto model = fit_development(curves);
  if (!model) return {};
  return fmt::format(
             "<table class=\"plain\"><caption>{}</caption><thead><tr><th scope=\"col\">{}</th>"
             "<th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>",
             fmt::format(words::kGrowthCaption, seconds_text(times.shortest_s),
                         seconds_text(times.longest_s)),
             words::kGrowthOf, words::kGrowthChange, words::kGrowthEnded) +
         growth_row(words::kGrowthGamma, model->gamma, times) +
         growth_row(words::kGrowthHighlight, model->highlight, times) +
         growth_row(words::kGrowthFog, model->fog, times) + "</tbody></table>";
}

}  // namespace platewise::sections
