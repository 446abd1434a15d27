#pragma once

#include <vector>

#include "platewise/raster/image.h"
#include "platewise/read/read_scan.h"

namespace platewise {

// One row of the scan in linear light. Colour rows carry their channels after the tone curve as well.
struct LinearRow {
  std::vector<float> luminance;
  std::vector<float> red, green, blue;  // empty for grey
};

// How scan pixels fall into working pixels of factor x factor. `pad` pixels are thought before the first
// column and row, so that the incomplete cell lies at the end of the picture once it has been turned.
struct ShrinkGrid {
  int width_px = 0;  // of the scan as stored
  int height_px = 0;
  int factor = 1;
  int pad_cols = 0;
  int pad_rows = 0;

  [[nodiscard]] int working_cols() const { return (width_px + pad_cols + factor - 1) / factor; }
  [[nodiscard]] int working_rows() const { return (height_px + pad_rows + factor - 1) / factor; }
};

// Scan pixels per working pixel. With a credible resolution the working image comes nearest to
// working_px_per_mm; without one it has at most 4 Mpx, but a plate of known size is not shrunk below
// working_px_per_mm as far as the frame tells. Never more than working_pixels_max.
[[nodiscard]] int shrink_factor(int width_px, int height_px, std::optional<double> credible_dpi,
                                const ReadOptions& options);

// Averages rows, given from top to bottom, into working pixels; incomplete cells average what is there.
class Shrinker {
 public:
  Shrinker(const ShrinkGrid& grid, bool colour);

  void add(const LinearRow& row);

  // The finished picture; rgb holds the channels as they came, in R,G,B order.
  [[nodiscard]] LinearImage take();

 private:
  struct Columns {  // one value a scan column, over the rows of the working row so far
    std::vector<float> sum, least, greatest, red, green, blue;
  };

  void start_working_row();
  void finish_working_row();
  [[nodiscard]] int first_col(int working_col) const;

  ShrinkGrid grid_;
  bool colour_;
  int rows_added_ = 0;
  int rows_in_cell_ = 0;
  int working_row_ = 0;
  Columns columns_;
  LinearImage image_;
};

}  // namespace platewise
