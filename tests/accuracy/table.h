#pragma once

#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "platewise/core/quantity.h"

namespace platewise::accuracy {

// Type 7 quantile (Hyndman & Fan 1996); NaN when empty.
[[nodiscard]] double quantile(std::vector<double> values, double share);

// Measured against true, one row of a table.
class Errors {
 public:
  // Counts one truth that could be measured; `measured` is empty where the program gave null.
  void add(double truth, const std::optional<Quantity>& measured);

  [[nodiscard]] int truths() const { return truths_; }
  [[nodiscard]] int measured() const { return static_cast<int>(errors_.size()); }
  [[nodiscard]] double bias() const;
  [[nodiscard]] double rms() const;
  [[nodiscard]] double median_size() const;  // of the errors
  [[nodiscard]] double median_u() const;
  [[nodiscard]] double coverage() const;  // share within 2 u

  static void print_head(std::ostream& out, const std::string& title);
  void print(std::ostream& out, const std::string& name) const;

 private:
  int truths_ = 0;
  std::vector<double> errors_;
  std::vector<double> us_;
};

// "name  part of whole  (percent)".
void print_share(std::ostream& out, const std::string& name, int part, int whole);

}  // namespace platewise::accuracy
