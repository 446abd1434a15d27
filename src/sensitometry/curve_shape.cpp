#include "curve_shape.h"

#include <array>
#include <cmath>

namespace platewise {
namespace {

using Parameters = Eigen::VectorXd;

constexpr double kUsualSharpness = 3.0;  // bends that take up most of the straight part

double softplus(double z) {
  return z > 0.0 ? z + std::log1p(std::exp(-z)) : std::log1p(std::exp(z));
}

// Richards' sigmoid from 0 to 1 with its steepest point at x = 0 and the gradient `steepness` there.
double leaning_sigmoid(double x, double steepness, double log_asymmetry) {
  const double asymmetry = std::exp(log_asymmetry);
  const double slope = steepness * std::pow(1.0 + 1.0 / asymmetry, asymmetry + 1.0);
  return std::exp(-asymmetry * softplus(-slope * x - log_asymmetry));
}

double sigmoid(const Parameters& p, double x) {
  return p(0) + std::exp(p(1)) * leaning_sigmoid(x - p(3), std::exp(p(2) - p(1)), p(4));
}

// The same leaning the other way: long toe and sudden shoulder where the first has sudden toe and long
// shoulder.
double mirrored_sigmoid(const Parameters& p, double x) {
  return p(0) + std::exp(p(1)) * (1.0 - leaning_sigmoid(p(3) - x, std::exp(p(2) - p(1)), p(4)));
}

// A straight part between a soft toe and a soft shoulder, each with a softness of its own.
double straight_between_bends(const Parameters& p, double x) {
  const double gamma = std::exp(p(2));
  const double half_length = 0.5 * std::exp(p(1)) / gamma;
  const double toe = kUsualSharpness * std::exp(p(4)) / half_length;
  const double shoulder = kUsualSharpness * std::exp(p(5)) / half_length;
  return p(0) + gamma * (softplus(toe * (x - p(3) + half_length)) / toe -
                         softplus(shoulder * (x - p(3) - half_length)) / shoulder);
}

// A straight part, a knee, and a second, gentler rise to the limit: what iron-developed collodion was found
// to give (figures traced second-hand from Skladnikiewitz, Hertel & Schmidt 1998: gradient 1.28, past the
// knee 0.35).
double straight_with_knee(const Parameters& p, double x) {
  const double net = std::exp(p(1));
  const double gamma = std::exp(p(2));
  const double upper = 0.3 * gamma * std::exp(p(6));
  const double share = 1.0 / (1.0 + std::exp(-0.8 - p(7)));  // of the net silver below the knee
  const double half_length = 0.5 * share * net / gamma;
  const double upper_length = (1.0 - share) * net / upper;
  const double toe = kUsualSharpness * std::exp(p(4)) / half_length;
  const double knee = kUsualSharpness * std::exp(p(5)) / half_length;
  const double end = kUsualSharpness / (0.5 * upper_length);
  const double knee_at = p(3) + half_length;
  return p(0) + gamma * softplus(toe * (x - p(3) + half_length)) / toe -
         (gamma - upper) * softplus(knee * (x - knee_at)) / knee -
         upper * softplus(end * (x - knee_at - upper_length)) / end;
}

// The same with a foot below the straight part, where the few most sensitive grains come up: the traced plate
// has a gradient of 0.3 there before it turns into the straight part.
double foot_straight_and_knee(const Parameters& p, double x) {
  const double gamma = std::exp(p(2));
  const double foot = gamma * 0.2 * std::exp(p(8));
  const double length = 0.35 * std::exp(p(9));
  const double share = 1.0 / (1.0 + std::exp(-0.8 - p(7)));
  const double half_length = 0.5 * share * std::exp(p(1)) / gamma;
  const double toe = kUsualSharpness * std::exp(p(4)) / half_length;
  const double toe_at = p(3) - half_length;
  const double start = kUsualSharpness / (0.5 * length);
  return straight_with_knee(p, x) +
         foot * (softplus(start * (x - toe_at + length)) / start - softplus(toe * (x - toe_at)) / toe);
}

constexpr std::array<CurveShape, 5> kShapes{{
    {"sigmoid", 1, 0.8, sigmoid},
    {"mirrored sigmoid", 1, 0.8, mirrored_sigmoid},
    {"straight between bends", 2, 0.6, straight_between_bends},
    {"straight with knee", 4, 0.6, straight_with_knee},
    {"foot, straight and knee", 6, 0.6, foot_straight_and_knee},
}};

}  // namespace

std::span<const CurveShape> curve_shapes() {
  return kShapes;
}

}  // namespace platewise
