#include "platewise/json/score_line.h"

#include "document.h"
#include "fields.h"

namespace platewise {

std::optional<ScoreIdentity> score_identity(std::string_view line) {
  const auto document = json::parsed(line, "line");
  if (!document || !document->is_object()) return std::nullopt;
  json::Complaint complaint("line");
  const json::Fields score(*document, "", complaint);
  score.expect_schema("platewise.score/1");
  const json::Fields scan = score.object("scan");
  ScoreIdentity identity{scan.text_or_empty("path"), scan.text_or_empty("sha256"),
                         score.text_or_empty("asked_sha256")};
  if (complaint.any() || identity.sha256.empty()) return std::nullopt;
  return identity;
}

}  // namespace platewise
