#include "accuracy/scenes_lines.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

namespace platewise::heldout {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr int kFractionBits = 4;

cv::Scalar tone(Random& random, double low, double high) {
  return cv::Scalar::all(random.log_uniform(low, high));
}

cv::Point fine(cv::Point2d p) {
  return {static_cast<int>(std::lround(16.0 * p.x)), static_cast<int>(std::lround(16.0 * p.y))};
}

void fine_line(cv::Mat& canvas, cv::Point2d from, cv::Point2d to, const cv::Scalar& value, int width) {
  cv::line(canvas, fine(from), fine(to), value, width, cv::LINE_AA, kFractionBits);
}

cv::Mat ground(Random& random, cv::Size size, double low, double high, double uneven) {
  cv::Mat canvas(size, CV_32FC1, tone(random, low, high));
  return canvas.mul(1.0 + uneven * cloud(random, size, size.width / 3.0, 4));
}

void branch(Random& random, cv::Mat& canvas, cv::Point2d from, double heading, double length, double width,
            const cv::Scalar& bark) {
  if (width < 0.8 || length < 4.0) return;
  constexpr int kPieces = 6;
  cv::Point2d at = from;
  for (int i = 0; i < kPieces; ++i) {
    heading += random.normal(0.0, 0.12);
    const cv::Point2d next = at + length / kPieces * cv::Point2d(std::cos(heading), std::sin(heading));
    fine_line(canvas, at, next, bark, std::max(1, static_cast<int>(width * (1.0 - 0.06 * i))));
    at = next;
    if (i >= 2 && random.chance(0.55))
      branch(random, canvas, at, heading + (random.chance(0.5) ? 1.0 : -1.0) * random.uniform(0.3, 0.9),
             length * random.uniform(0.45, 0.75), width * 0.6, bark);
  }
  branch(random, canvas, at, heading + random.normal(0.0, 0.3), 0.75 * length, 0.65 * width, bark);
}

// Strands that leave a parting and fall side by side.
void strands(Random& random, cv::Mat& canvas, cv::Point2d root, double spread, double length, int many,
             double dark, double light) {
  const double lean = random.normal(0.0, 0.3);
  const double curl = random.uniform(0.02, 0.25);
  for (int i = 0; i < many; ++i) {
    cv::Point2d at = root + cv::Point2d(random.normal(0.0, spread), random.normal(0.0, spread / 4));
    double heading = kTurn / 4 + lean + 1.2 * (at.x - root.x) / (3.0 * spread) + random.normal(0.0, 0.05);
    const double turn = random.normal(0.0, curl) / 20.0;
    const cv::Scalar value = tone(random, dark, light);
    const int width = random.integer(1, 2);
    const double step = length / 40.0;
    for (int k = 0; k < 40; ++k) {
      const cv::Point2d next = at + step * cv::Point2d(std::cos(heading), std::sin(heading));
      fine_line(canvas, at, next, value, width);
      at = next;
      heading += turn + random.normal(0.0, 0.015);
    }
  }
}

}  // namespace

cv::Mat railings(Random& random, cv::Size size) {
  cv::Mat canvas = ground(random, size, 0.3, 1.0, 0.3);
  const int fences = random.integer(1, 3);
  for (int f = 0; f < fences; ++f) {
    const double top = size.height * random.uniform(0.1, 0.6);
    const double bottom = top + size.height * random.uniform(0.2, 0.5);
    const double gap = size.width / random.uniform(12.0, 60.0);
    const double slope = random.normal(0.0, 0.12);
    const double lean = random.normal(0.0, 0.02) * (bottom - top);
    const int width = std::max(2, static_cast<int>(gap * random.uniform(0.1, 0.35)));
    const cv::Scalar iron = random.chance(0.8) ? tone(random, 0.01, 0.08) : tone(random, 0.8, 1.2);
    for (double x = -gap; x < size.width + gap; x += gap)
      fine_line(canvas, {x, top + slope * x}, {x + lean, bottom + slope * x}, iron, width);
    for (const double share : {0.08, 0.9}) {
      const double y = top + share * (bottom - top);
      fine_line(canvas, {0.0, y}, {1.0 * size.width, y + slope * size.width}, iron, width + 1);
    }
  }
  for (int i = random.integer(0, 6); i > 0; --i) {  // telegraph wires
    const double y = size.height * random.uniform(0.0, 0.5);
    fine_line(canvas, {0.0, y}, {1.0 * size.width, y + size.height * random.normal(0.0, 0.2)},
              cv::Scalar::all(0.04), random.integer(1, 3));
  }
  return canvas;
}

cv::Mat lettering(Random& random, cv::Size size) {
  const bool dark_letters = random.chance(0.7);
  cv::Mat canvas =
      dark_letters ? ground(random, size, 0.5, 1.0, 0.15) : ground(random, size, 0.02, 0.1, 0.15);
  double y = size.height * random.uniform(0.04, 0.12);
  constexpr int kFaces[] = {cv::FONT_HERSHEY_COMPLEX, cv::FONT_HERSHEY_TRIPLEX, cv::FONT_HERSHEY_DUPLEX,
                            cv::FONT_HERSHEY_SCRIPT_COMPLEX};
  while (y < size.height) {
    const double scale = random.log_uniform(0.35, 4.0) * size.width / 900.0;
    std::string words;
    for (int i = 0; i < 60; ++i)
      words += random.chance(0.17)
                   ? ' '
                   : static_cast<char>((random.chance(0.2) ? 'A' : 'a') + random.integer(0, 25));
    y += 34.0 * scale;
    cv::putText(canvas, words, {static_cast<int>(size.width * random.uniform(0.0, 0.1)), static_cast<int>(y)},
                kFaces[random.integer(0, 3)], scale,
                dark_letters ? tone(random, 0.01, 0.06) : tone(random, 0.6, 1.1),
                std::max(1, static_cast<int>(1.6 * scale)), cv::LINE_AA);
    if (random.chance(0.15)) {
      y += 10.0 * scale;
      fine_line(canvas, {0.08 * size.width, y}, {0.92 * size.width, y},
                cv::Scalar::all(dark_letters ? 0.03 : 0.9), 2);
    }
    y += 6.0 * scale;
  }
  return canvas;
}

cv::Mat stars(Random& random, cv::Size size) {
  cv::Mat canvas = ground(random, size, 0.004, 0.03, 0.5);
  const int many = static_cast<int>(random.log_uniform(60, 600));
  for (int i = 0; i < many; ++i) {
    const cv::Point2d at(random.uniform(0.0, size.width), random.uniform(0.0, size.height));
    // Few are bright; the bright ones bloom.
    const double brightness = std::min(3.0, 0.04 * std::pow(random.uniform(0.001, 1.0), -0.7));
    const double radius = random.uniform(0.8, 1.4) * (1.0 + brightness);
    cv::circle(canvas, fine(at), static_cast<int>(16.0 * radius), cv::Scalar::all(brightness), -1,
               cv::LINE_AA, kFractionBits);
  }
  cv::GaussianBlur(canvas, canvas, {}, 1.2);
  // Roofs below, with lamps.
  const double roof = size.height * random.uniform(0.8, 0.97);
  cv::rectangle(canvas, {0, static_cast<int>(roof)}, {size.width, size.height}, cv::Scalar::all(0.003), -1);
  return canvas;
}

cv::Mat hair_and_grass(Random& random, cv::Size size) {
  cv::Mat canvas = ground(random, size, 0.05, 0.4, 0.4);
  const int heads = random.integer(2, 5);
  for (int i = 0; i < heads; ++i) {
    const double dark = random.log_uniform(0.01, 0.1);
    strands(random, canvas, {size.width * random.uniform(0.1, 0.9), size.height * random.uniform(0.0, 0.5)},
            size.width * random.uniform(0.04, 0.12), size.height * random.uniform(0.25, 0.6),
            random.integer(150, 500), dark, dark * random.uniform(4.0, 12.0));
  }
  for (int i = random.integer(0, 400); i > 0; --i) {
    const cv::Point2d foot(random.uniform(0.0, size.width), size.height * random.uniform(0.8, 1.0));
    const double height = size.height * random.uniform(0.05, 0.15);
    fine_line(canvas, foot, foot + cv::Point2d(0.4 * height * random.normal(0.0, 0.6), -height),
              tone(random, 0.05, 0.9), random.integer(1, 3));
  }
  return canvas;
}

void draw_branches(Random& random, cv::Mat& canvas) {
  const int trees = random.integer(1, 4);
  for (int i = 0; i < trees; ++i) {
    const double length = canvas.rows * random.uniform(0.12, 0.25);
    branch(random, canvas, {canvas.cols * random.uniform(0.05, 0.95), canvas.rows * random.uniform(0.7, 1.0)},
           -kTurn / 4 + random.normal(0.0, 0.15), length, canvas.cols * random.uniform(0.008, 0.025),
           tone(random, 0.01, 0.08));
  }
}

}  // namespace platewise::heldout
