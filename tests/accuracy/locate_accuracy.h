#pragma once

#include <map>
#include <ostream>
#include <string>
#include <vector>

#include "accuracy/rendering.h"
#include "platewise/locate/plate_outline.h"
#include "platewise/read/scan.h"

namespace platewise::accuracy {

// Greatest distance of a corner from where it truly is, over the plate's diagonal.
[[nodiscard]] double corner_error(const PlateOutline& outline, const heldout::Truth& truth);

// The outline is the holder's opening (rim's inner edge) and not the plate: it covers the picture and leaves
// the rim out.
[[nodiscard]] bool took_the_opening(const PlateOutline& outline, const heldout::Truth& truth);

class LocateAccuracy {
 public:
  void add(const PlateOutline& outline, const heldout::Truth& truth);
  void add_not_a_plate(const PlateOutline& outline, const std::string& what);
  void print(std::ostream& out) const;

  // Among flatbed scans whose border shows: share found, median of the worst corner's error over the
  // diagonal.
  [[nodiscard]] double flatbed_found_share() const;
  [[nodiscard]] double flatbed_median_error() const;
  [[nodiscard]] double not_a_plate_error_share() const;

 private:
  struct Group {
    int all = 0;
    int found = 0;
    int within = 0;
    int confidently_wrong = 0;  // confidence at least 0.5, error over 2 %
    std::vector<double> errors;
  };
  void count(Group& group, const PlateOutline& outline, const heldout::Truth& truth, double target);
  static void print_group(std::ostream& out, const std::string& name, const Group& group);

  Group flatbed_;
  Group photo_;
  std::map<std::string, Group> by_layout_;
  struct {
    int all = 0;
    int honest = 0;  // confidence under 0.5, not found, or the frame
    int opening = 0;
  } hidden_;
  struct {
    int all = 0;
    int found = 0;
    int right = 0;  // corners within 2 % of the frame's
    int too_confident = 0;
    int without_evidence = 0;
    int without_evidence_found = 0;
  } frame_;
  int not_plates_ = 0;
  int called_plates_ = 0;
  std::map<std::string, int> called_;
};

}  // namespace platewise::accuracy
