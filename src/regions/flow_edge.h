#pragma once

#include <array>
#include <opencv2/core.hpp>

namespace platewise {

// How a dark piece is bounded. Each stretch of its border is judged by means over rings on either side, so a
// step far below one pixel's noise still shows.
struct FlowEdge {
  double sharp_share = 0.0;  // share of the border where the tone jumps at the border and nowhere else
  double step = 0.0;         // median jump over all stretches
};

// `inside` marks the piece (CV_8UC1), `tone` is CV_32FC1 of the same size, `usable` where the tone may be
// trusted (plate without its edge, without the holder's straight border). `sigma` is the noise of one pixel.
[[nodiscard]] FlowEdge flow_edge(const cv::Mat& inside, const cv::Mat& tone, const cv::Mat& usable,
                                 double hundredth_px, double sigma);

// Share of a side of the plate along which the piece ends on one straight line: a holder's border or a thing
// in the picture, no flow edge. `inside` has the whole plate's size. `holder_px`: how deep the holder's
// border was seen on the left, top, right and bottom, 0 where it was not: a line well outside it is not the
// holder's.
[[nodiscard]] double straight_share(const cv::Mat& inside, double hundredth_px,
                                    const std::array<double, 4>& holder_px);

}  // namespace platewise
