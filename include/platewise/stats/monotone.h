#pragma once

#include <optional>
#include <span>
#include <vector>

namespace platewise {

// Least-squares rising fit: pool adjacent violators. `weights` empty means equal weights, else all > 0.
// Source: Robertson, Wright & Dykstra 1988, chapter 1. For a falling fit negate values in and out.
[[nodiscard]] std::vector<double> isotonic(std::span<const double> values,
                                           std::span<const double> weights = {});

// Smooth curve through points that rises or falls wherever the points do, without overshoot:
// piecewise cubic Hermite with the slopes of Fritsch & Butland 1984 (weighted harmonic mean of the
// neighbouring chords, zero at a turn), in the monotone family of Fritsch & Carlson 1980.
// Outside the points the end slope goes on as a straight line.
class MonotoneCubic {
 public:
  // x strictly rising, at least one point; y any finite values of the same number.
  MonotoneCubic(std::vector<double> x, std::vector<double> y);

  [[nodiscard]] double operator()(double x) const;
  [[nodiscard]] double slope(double x) const;
  // x with curve(x) = y, for points whose y are strictly monotone; empty outside [first y, last y].
  [[nodiscard]] std::optional<double> inverse(double y) const;

  [[nodiscard]] const std::vector<double>& knots() const { return x_; }
  [[nodiscard]] const std::vector<double>& values() const { return y_; }
  [[nodiscard]] const std::vector<double>& slopes() const { return slopes_; }

 private:
  [[nodiscard]] std::size_t interval(double x) const;

  std::vector<double> x_;
  std::vector<double> y_;
  std::vector<double> slopes_;
};

}  // namespace platewise
