#include "fields.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>

namespace platewise::json {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kEntriesAtMost = 20000;  // a wedge has some dozens

}  // namespace

void Complaint::add(const std::string& what) {
  if (!any()) {
    problem_ = {where_, what, "use a file as `platewise calibrate` writes it"};
  }
}

Fields::Fields(const Json& object, std::string path, Complaint& complaint)
    : object_(object.is_object() ? &object : nullptr), path_(std::move(path)), complaint_(&complaint) {
  if (object_ == nullptr) complaint.add(path_.empty() ? "is not a JSON object" : path_ + " is not an object");
}

const Json* Fields::find(const char* key) const {
  if (object_ == nullptr) return nullptr;
  const auto found = object_->find(key);
  return found == object_->end() ? nullptr : &*found;
}

const Json* Fields::wanted(const char* key) const {
  const Json* value = find(key);
  if (value == nullptr) complain(key, "is missing");
  return value;
}

void Fields::complain(const char* key, const std::string& what) const {
  complaint_->add(fmt::format("\"{}{}\" {}", path_, key, what));
}

double Fields::checked(const Json& value, const std::string& name, Limits limits) const {
  if (!value.is_number()) {
    complaint_->add(fmt::format("\"{}{}\" is not a number", path_, name));
    return limits.least;
  }
  const double number = value.get<double>();
  if (!(number >= limits.least && number <= limits.most)) {
    complaint_->add(fmt::format("\"{}{}\" cannot be {:g}", path_, name, number));
    return limits.least;
  }
  return number;
}

double Fields::number(const char* key, Limits limits) const {
  const Json* value = wanted(key);
  return value == nullptr ? limits.least : checked(*value, key, limits);
}

std::optional<double> Fields::number_or_null(const char* key, Limits limits) const {
  const Json* value = wanted(key);
  if (value == nullptr || value->is_null()) return std::nullopt;
  return checked(*value, key, limits);
}

double Fields::number_or(const char* key, double otherwise, Limits limits) const {
  const Json* value = find(key);
  return value == nullptr || value->is_null() ? otherwise : checked(*value, key, limits);
}

bool Fields::flag_or(const char* key, bool otherwise) const {
  const Json* value = find(key);
  if (value == nullptr) return otherwise;
  if (!value->is_boolean()) complain(key, "is neither true nor false");
  return value->is_boolean() ? value->get<bool>() : otherwise;
}

std::string Fields::text_or_empty(const char* key) const {
  const Json* value = find(key);
  if (value == nullptr || value->is_null()) return {};
  if (!value->is_string()) complain(key, "is not a text");
  return value->is_string() ? value->get<std::string>() : std::string();
}

std::optional<Quantity> Fields::quantity_or_null(const char* key) const {
  const Json* value = wanted(key);
  if (value == nullptr || value->is_null()) return std::nullopt;
  const Fields fields(*value, path_ + key + ".", *complaint_);
  return Quantity{fields.number("value"), fields.number("u", kNotNegative)};
}

Quantity Fields::quantity(const char* key) const {
  constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
  return quantity_or_null(key).value_or(Quantity{kUnknown, kUnknown});
}

bool Fields::is_null(const char* key) const {
  const Json* value = find(key);
  return value == nullptr || value->is_null();
}

std::vector<std::string> Fields::texts(const char* key) const {
  const Json* list = find(key);
  std::vector<std::string> texts;
  if (list == nullptr) return texts;
  if (!list->is_array() || list->size() > kEntriesAtMost) {
    complain(key, "is not a list of texts");
    return texts;
  }
  for (const Json& entry : *list) {
    if (entry.is_string()) {
      texts.push_back(entry.get<std::string>());
    } else {
      complain(key, "is not a list of texts");
    }
  }
  return texts;
}

Warnings Fields::warnings() const {
  return texts("warnings");
}

Fields Fields::object(const char* key) const {
  static const Json kNone;  // outlives the Fields that look at it
  const Json* value = wanted(key);
  return {value == nullptr ? kNone : *value, path_ + key + ".", *complaint_};
}

std::vector<Fields> Fields::objects(const char* key) const {
  std::vector<Fields> list;
  const Json* value = wanted(key);
  if (value == nullptr) return list;
  if (!value->is_array() || value->size() > kEntriesAtMost) {
    complain(key, "is not a list");
    return list;
  }
  for (std::size_t i = 0; i < value->size(); ++i) {
    list.emplace_back((*value)[i], fmt::format("{}{}[{}].", path_, key, i), *complaint_);
  }
  return list;
}

std::vector<double> Fields::numbers(const char* key) const {
  std::vector<double> list;
  const Json* value = wanted(key);
  if (value == nullptr) return list;
  if (!value->is_array() || value->size() > kEntriesAtMost) {
    complain(key, "is not a list of numbers");
    return list;
  }
  for (std::size_t i = 0; i < value->size(); ++i) {
    list.push_back(checked((*value)[i], fmt::format("{}[{}]", key, i), kAny));
  }
  return list;
}

std::vector<Point> Fields::points(const char* key) const {
  std::vector<Point> list;
  const Json* value = wanted(key);
  if (value == nullptr) return list;
  if (!value->is_array() || value->size() > kEntriesAtMost) {
    complain(key, "is not a list of points");
    return list;
  }
  for (const Json& entry : *value) {
    if (entry.is_array() && entry.size() == 2) {
      list.push_back({checked(entry[0], key, kAny), checked(entry[1], key, kAny)});
    } else {
      complain(key, "is not a list of points");
    }
  }
  return list;
}

void Fields::expect_schema(std::string_view schema) const {
  if (text_or_empty("schema") != schema) {
    complaint_->add(fmt::format("is not a file of the kind \"{}\"", schema));
  }
}

}  // namespace platewise::json
