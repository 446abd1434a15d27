#include "json_results.h"

#include "platewise/json/score_json.h"
#include "platewise/read/sha256.h"

namespace platewise::cli {
namespace {

std::string as_array(const std::vector<std::string>& documents) {
  std::string all = "[";
  for (const std::string& document : documents) all += (all.size() == 1 ? "\n" : ",\n") + document;
  return all + (documents.empty() ? "]" : "\n]");
}

}  // namespace

JsonResults::JsonResults(const JsonTarget& target, std::size_t plates, Console& console)
    : target_(target), console_(&console), one_scan_(plates == 1), order_(plates) {}

Result<JsonResults> JsonResults::begin(const JsonTarget& target, std::size_t plates, Console& console) {
  JsonResults results(target, plates, console);
  if (!target.lines || target.takes_standard_output()) return results;
  Result<LinesFile> lines = LinesFile::open(target.file, target.resume);
  if (!lines) return tl::make_unexpected(lines.error());
  results.lines_.emplace(*std::move(lines));
  return results;
}

std::vector<bool> JsonResults::done_before(const std::vector<PlateRequest>& requests) {
  std::vector<bool> done(requests.size());
  for (std::size_t i = 0; lines_ && i < requests.size(); ++i) {
    const std::string path = requests[i].path.string();
    if (!lines_->holds_path(path)) continue;
    ScoreIdentity score{path, sha256_of_file(path), requests[i].asked_sha256};
    done[i] = lines_->holds(score);
    if (done[i]) order_[i] = std::move(score);
  }
  return done;
}

ExitCode JsonResults::take(const PlateScore& score, std::size_t place) {
  if (!target_.wanted()) return ExitCode::done;
  if (lines_) {
    auto added = lines_->add(score_json(score));
    if (added) {
      order_[place] = *std::move(added);
      return ExitCode::done;
    }
    console_->complain(added.error());
    return ExitCode::input_unusable;
  }
  if (target_.lines) {
    console_->print(score_json(score) + "\n");
  } else {
    documents_.push_back(score_json(score, JsonStyle::indented));
  }
  return ExitCode::done;
}

ExitCode JsonResults::finish() {
  if (lines_) {
    std::vector<ScoreIdentity> order;
    for (auto& score : order_) {
      if (score) order.push_back(*std::move(score));
    }
    return succeeded(lines_->finish(order), *console_) ? ExitCode::done : ExitCode::input_unusable;
  }
  if (!target_.wanted() || target_.lines || (one_scan_ && documents_.empty())) return ExitCode::done;
  return write_json(target_, one_scan_ ? documents_.front() : as_array(documents_), *console_);
}

}  // namespace platewise::cli
