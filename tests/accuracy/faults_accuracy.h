#pragma once

#include <array>
#include <filesystem>
#include <map>
#include <ostream>
#include <string>
#include <vector>

#include "accuracy/fault_matching.h"

namespace platewise::accuracy {

// Bands of contrast-to-noise after the working aperture.
inline constexpr std::array<double, 5> kCnrBands{1.0, 3.0, 5.0, 10.0, 1e9};

// Counts over many plates and the tables made of them. The rule of a hit is in fault_matching.h.
class FaultsAccuracy {
 public:
  void add(const heldout::FaultRendering& rendering, const std::vector<FoundMark>& found,
           const Matching& matching);
  void add_not_found() { ++plates_not_found_; }
  void print(std::ostream& out, const std::string& title) const;

  // Recall against contrast: recall.csv and recall.svg.
  void write_plots(const std::filesystem::path& folder) const;

  // For tests; 1 where nothing was there to find.
  [[nodiscard]] double recall(const std::vector<std::string>& ids) const;
  [[nodiscard]] double false_on_a_clean_plate() const;
  [[nodiscard]] int plates_not_found() const { return plates_not_found_; }

 private:
  struct Sight {
    double cnr = 0.0;
    bool seen = false;
  };
  struct Row {
    std::vector<Sight> truths;  // that count, from contrast-to-noise 1
    int named_right = 0;
    int hits = 0;   // findings
    int wrong = 0;  // findings
    [[nodiscard]] std::array<int, 2> seen_of(double low, double high) const;
  };
  struct Place {
    int plates = 0;
    int clean = 0;
    int wrong_on_clean = 0;
    int wrong = 0;
    int truths = 0;
    int seen = 0;
  };
  void print_faults(std::ostream& out) const;
  void print_places(std::ostream& out) const;
  void print_wrong(std::ostream& out) const;

  std::map<std::string, Row> rows_;
  std::map<std::string, Place> places_;
  std::map<std::string, int> wrong_on_clean_;  // by name
  std::map<std::string, int> confusions_;      // "found X on Y"
  std::vector<double> speck_count_ratio_;      // plates with at least 10 specks: found / true
  int clean_ = 0;
  int wrong_clean_ = 0;
  int line_rich_ = 0;
  int wrong_line_rich_ = 0;
  int plates_ = 0;
  int plates_not_found_ = 0;
};

// Whether any detector of the program looks for this fault.
[[nodiscard]] bool looked_for(const std::string& id);

}  // namespace platewise::accuracy
