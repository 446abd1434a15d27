#pragma once

#include <string>
#include <tl/expected.hpp>

namespace platewise {

// What a user can meet and mend: which file or option, what is wrong, what to do about it.
// `remedy` may be empty. Never used for bugs (assertions) or for values that could not be
// measured (empty optional and a warning in the result).
struct Problem {
  std::string where;
  std::string what;
  std::string remedy;

  // One line: "where: what (remedy)". Line breaks inside the parts are shown as escapes.
  [[nodiscard]] std::string message() const;
};

template <class T>
using Result = tl::expected<T, Problem>;

[[nodiscard]] inline tl::unexpected<Problem> failure(std::string where, std::string what,
                                                     std::string remedy = {}) {
  return tl::make_unexpected(Problem{std::move(where), std::move(what), std::move(remedy)});
}

}  // namespace platewise
