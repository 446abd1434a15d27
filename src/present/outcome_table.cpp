#include "outcome_table.h"

#include <fmt/format.h>

#include <algorithm>

#include "escape.h"
#include "numbers.h"
#include "words.h"

namespace platewise {
namespace {

std::string held_sentence(std::span<const AdviceOutcome> outcomes) {
  const auto told = std::count_if(outcomes.begin(), outcomes.end(),
                                  [](const AdviceOutcome& outcome) { return outcome.within.has_value(); });
  const auto held = std::count_if(outcomes.begin(), outcomes.end(), [](const AdviceOutcome& outcome) {
    return outcome.within.value_or(false);
  });
  if (told == 0) return std::string(words::kOutcomeNoneTold);
  return fmt::format(words::kOutcomeHeld, held, told);
}

std::string done_text(const AdviceOutcome& outcome) {
  if (!outcome.done_stops) return std::string(words::kOutcomeNotNoted);
  std::string text = stops_text(*outcome.done_stops);
  if (outcome.light_stops) {
    text += "; " + fmt::format(words::kOutcomeLight, stops_text(*outcome.light_stops));
  }
  return text;
}

std::string needed_text(const AdviceOutcome& outcome) {
  if (!outcome.needed_stops) return std::string(words::kOutcomeNotTold);
  return fmt::format("{} \u00b1{:.1f}: {}", stops_text(outcome.needed_stops->value), outcome.needed_stops->u,
                     outcome.within.value_or(false) ? words::kOutcomeWithin : words::kOutcomeOutside);
}

std::string left_text(const std::optional<Quantity>& error) {
  if (!error) return std::string(words::kOutcomeNotTold);
  if (error->value < 0) return fmt::format(words::kOutcomeTooLittle, -error->value, error->u);
  return fmt::format(words::kOutcomeTooMuch, error->value, error->u);
}

std::string development_text(const AdviceOutcome& outcome) {
  std::string proposed = percent_range_text(outcome.development);
  if (!outcome.done_percent) return proposed;
  return fmt::format(words::kOutcomeDevelopment, proposed, *outcome.done_percent);
}

std::string row(const AdviceOutcome& outcome) {
  const std::string cells[] = {stops_range_text(outcome.exposure),
                               done_text(outcome),
                               needed_text(outcome),
                               left_text(outcome.predicted_error_stops),
                               left_text(outcome.happened_error_stops),
                               development_text(outcome)};
  std::string html = fmt::format("<tr><th scope=\"row\">{}</th>",
                                 fmt::format(words::kChangePair, outcome.from + 1, outcome.to + 1));
  for (const std::string& cell : cells) html += fmt::format("<td>{}</td>", escaped(cell));
  return html + "</tr>";
}

}  // namespace

std::string outcome_table_html(std::span<const AdviceOutcome> outcomes) {
  if (outcomes.empty()) return {};
  std::string html = fmt::format(
      "<p>{}</p><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">"
      "<table class=\"plain changes\"><caption>{}</caption><thead><tr>",
      escaped(held_sentence(outcomes)), words::kOutcomes, words::kOutcomesCaption);
  for (const std::string_view title :
       {words::kChangePlates, words::kOutcomeProposed, words::kOutcomeDone, words::kOutcomeNeeded,
        words::kOutcomePredicted, words::kOutcomeHappened, words::kOutcomeDevelopmentTitle}) {
    html += fmt::format("<th scope=\"col\">{}</th>", title);
  }
  html += "</tr></thead><tbody>";
  for (const AdviceOutcome& outcome : outcomes) html += row(outcome);
  return html + "</tbody></table></div>";
}

}  // namespace platewise
