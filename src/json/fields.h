#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "platewise/core/geometry.h"
#include "platewise/core/names.h"
#include "platewise/core/quantity.h"
#include "platewise/core/result.h"
#include "platewise/core/warnings.h"
#include "platewise/json/curve_json.h"

namespace platewise::json {

// The first thing that is wrong with a document; what comes after it is not said.
class Complaint {
 public:
  explicit Complaint(std::string where) : where_(std::move(where)) {}

  void add(const std::string& what);
  [[nodiscard]] bool any() const { return !problem_.what.empty(); }
  [[nodiscard]] tl::unexpected<Problem> failure() const { return tl::make_unexpected(problem_); }

 private:
  std::string where_;
  Problem problem_;
};

struct Limits {
  double least = -1e9;
  double most = 1e9;
};
inline constexpr Limits kAny{};
inline constexpr Limits kNotNegative{0.0, 1e9};
inline constexpr Limits kPositive{1e-12, 1e9};
inline constexpr Limits kShare{0.0, 1.0};

// Reads one object of a document. A field that is not what it must be adds to the complaint and gives a
// harmless value, so that reading code stays a plain list of fields.
class Fields {
 public:
  Fields(const nlohmann::json& object, std::string path, Complaint& complaint);

  [[nodiscard]] double number(const char* key, Limits limits = kAny) const;
  [[nodiscard]] std::optional<double> number_or_null(const char* key, Limits limits = kAny) const;
  [[nodiscard]] double number_or(const char* key, double otherwise, Limits limits = kAny) const;
  [[nodiscard]] bool flag_or(const char* key, bool otherwise) const;
  [[nodiscard]] std::string text_or_empty(const char* key) const;
  [[nodiscard]] Quantity quantity(const char* key) const;  // null: not a number
  [[nodiscard]] std::optional<Quantity> quantity_or_null(const char* key) const;
  [[nodiscard]] Warnings warnings() const;
  [[nodiscard]] std::vector<std::string> texts(const char* key) const;
  [[nodiscard]] bool is_null(const char* key) const;  // or missing
  [[nodiscard]] Fields object(const char* key) const;
  [[nodiscard]] std::vector<Fields> objects(const char* key) const;
  [[nodiscard]] std::vector<double> numbers(const char* key) const;
  [[nodiscard]] std::vector<Point> points(const char* key) const;
  void expect_schema(std::string_view schema) const;
  void complain(const char* key, const std::string& what) const;

  template <class E>
  [[nodiscard]] E enumerator(const char* key) const {
    const auto value = from_name<E>(text_or_empty(key));
    if (!value) complain(key, "is missing or is none of the words that can stand here");
    return value.value_or(E{});
  }

 private:
  [[nodiscard]] const nlohmann::json* find(const char* key) const;  // null when missing
  [[nodiscard]] const nlohmann::json* wanted(const char* key) const;
  [[nodiscard]] double checked(const nlohmann::json& value, const std::string& name, Limits limits) const;

  const nlohmann::json* object_;  // null when there is none
  std::string path_;
  Complaint* complaint_;
};

}  // namespace platewise::json
