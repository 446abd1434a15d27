#include "accuracy/development/line_scenes.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/random.h"

namespace platewise::development {
namespace {

struct Paper {
  mutable cv::Mat light;
  Random* random;
  double px_per_mm;

  void line(cv::Point2d a, cv::Point2d b, double width_mm, double value) const {
    constexpr int kShift = 4;
    const auto fine = [](cv::Point2d p) { return cv::Point(cv::Point2d(16.0 * p.x, 16.0 * p.y)); };
    cv::line(light, fine(a), fine(b), cv::Scalar(value),
             std::max(1, static_cast<int>(std::lround(width_mm * px_per_mm))), cv::LINE_AA, kShift);
  }
  void dot(cv::Point2d at, double radius_mm, double value) const {
    constexpr int kShift = 4;
    cv::circle(light, cv::Point(cv::Point2d(16.0 * at.x, 16.0 * at.y)),
               static_cast<int>(std::lround(16.0 * radius_mm * px_per_mm)), cv::Scalar(value), cv::FILLED,
               cv::LINE_AA, kShift);
  }
  [[nodiscard]] cv::Point2d anywhere() const {
    return {random->uniform(0, light.cols), random->uniform(0, light.rows)};
  }
};

void slope(const Paper& paper, double from, double to) {
  for (int y = 0; y < paper.light.rows; ++y)
    paper.light.row(y).setTo(cv::Scalar(from + (to - from) * y / paper.light.rows));
}

void branch(const Paper& paper, cv::Point2d at, double heading, double width_mm, double value) {
  if (width_mm < 0.05) return;
  for (int piece = 0; piece < 12; ++piece) {
    heading += paper.random->normal(0.0, 0.16);
    const cv::Point2d next = at + (10.0 + 6.0 * width_mm) * 0.12 * paper.px_per_mm *
                                      cv::Point2d(std::cos(heading), std::sin(heading));
    paper.line(at, next, width_mm, value);
    at = next;
    if (paper.random->uniform(0, 1) < 0.3)
      branch(paper, at, heading + paper.random->uniform(-1.0, 1.0),
             width_mm * paper.random->uniform(0.35, 0.7), value);
    width_mm *= 0.95;
  }
}

void branches(const Paper& paper) {
  slope(paper, 0.8, 0.6);
  for (int tree = 0; tree < 6; ++tree)
    branch(paper, {paper.random->uniform(0, paper.light.cols), paper.light.rows * 1.0}, -std::numbers::pi / 2,
           paper.random->uniform(0.8, 3.0), paper.random->uniform(0.02, 0.15));
}

void railings(const Paper& paper) {
  slope(paper, 0.7, 0.3);
  const double pitch = paper.random->uniform(2.0, 5.0) * paper.px_per_mm;
  const double lean = paper.random->uniform(-0.05, 0.05);
  const double h = paper.light.rows;
  for (double x = -pitch; x < paper.light.cols + pitch; x += pitch) {
    paper.line({x, 0.35 * h}, {x + lean * h, h}, 0.5, 0.04);
    paper.dot({x, 0.34 * h}, 0.45, 0.05);
  }
  paper.line({0, 0.4 * h}, {paper.light.cols * 1.0, 0.42 * h}, 0.7, 0.05);
  paper.line({0, 0.9 * h}, {paper.light.cols * 1.0, 0.91 * h}, 0.7, 0.05);
}

void lace(const Paper& paper) {
  paper.light.setTo(cv::Scalar(0.08));
  const double pitch = paper.random->uniform(0.9, 2.2) * paper.px_per_mm;
  for (double y = 0; y < paper.light.rows; y += pitch) {
    for (double x = 0; x < paper.light.cols; x += pitch) {
      const cv::Point2d at(x + paper.random->normal(0, 0.05 * pitch),
                           y + paper.random->normal(0, 0.05 * pitch));
      const double value = paper.random->uniform(0.5, 0.8);
      paper.line(at, at + cv::Point2d(pitch, pitch), 0.15, value);
      paper.line(at + cv::Point2d(pitch, 0), at + cv::Point2d(0, pitch), 0.15, value);
      if (paper.random->uniform(0, 1) < 0.15) paper.dot(at, 0.35, value);
    }
  }
}

void hair(const Paper& paper) {
  paper.light.setTo(cv::Scalar(0.12));
  for (int lock = 0; lock < 90; ++lock) {
    const cv::Point2d root = paper.anywhere();
    const double heading = paper.random->uniform(0.3, 2.8);
    const double bend = paper.random->normal(0.0, 0.06);
    for (int strand = 0; strand < 40; ++strand) {
      cv::Point2d at = root + cv::Point2d(paper.random->normal(0, 25), paper.random->normal(0, 12));
      double turn = heading + paper.random->normal(0, 0.08);
      const double value = 0.12 * std::pow(10.0, paper.random->uniform(-0.5, 0.6));
      for (int piece = 0; piece < 20; ++piece) {
        const cv::Point2d next = at + 14.0 * cv::Point2d(std::cos(turn), std::sin(turn));
        paper.line(at, next, 0.08, value);
        at = next;
        turn += bend;
      }
    }
  }
}

void text(const Paper& paper) {
  paper.light.setTo(cv::Scalar(0.6));
  const std::string letters = "abcdefghiklmnopqrstuvwxyzABDEGHKMNPRS0123456789.,:;!";
  const double scale = paper.random->uniform(0.8, 2.2);
  for (double y = 40 * scale; y < paper.light.rows; y += 40 * scale) {
    std::string row;
    for (int i = 0; i < 90; ++i) {
      const auto at = static_cast<std::size_t>(paper.random->uniform(0, static_cast<double>(letters.size())));
      row += paper.random->uniform(0, 1) < 0.16 ? ' ' : letters[std::min(at, letters.size() - 1)];
    }
    cv::putText(paper.light, row, cv::Point(20, static_cast<int>(y)), cv::FONT_HERSHEY_COMPLEX, scale,
                cv::Scalar(0.03), std::max(1, static_cast<int>(2 * scale)), cv::LINE_AA);
  }
}

void stars(const Paper& paper) {
  slope(paper, 0.02, 0.05);
  for (int star = 0; star < 500; ++star) {
    const double light = std::pow(10.0, paper.random->uniform(-1.3, 0.0));
    paper.dot(paper.anywhere(), 0.06 + 0.12 * light, light);
  }
}

using Draw = void (*)(const Paper&);
const std::map<std::string, Draw>& draws() {
  static const std::map<std::string, Draw> kDraws{{"branches", branches}, {"railings", railings},
                                                  {"lace", lace},         {"hair", hair},
                                                  {"text", text},         {"stars", stars}};
  return kDraws;
}

}  // namespace

const std::vector<std::string>& line_scene_names() {
  static const std::vector<std::string> kNames = [] {
    std::vector<std::string> names;
    for (const auto& [name, draw] : draws()) names.push_back(name);
    return names;
  }();
  return kNames;
}

LinearImage edgeless_scene(std::uint64_t seed, int width_px, int height_px) {
  Random random(seed);
  cv::Mat clouds(16, 16, CV_32FC1);
  const double depth = random.uniform(0.05, 0.5);
  for (int y = 0; y < clouds.rows; ++y)
    for (int x = 0; x < clouds.cols; ++x)
      clouds.at<float>(y, x) =
          static_cast<float>(random.normal(-1.2 + 0.05 * y * random.uniform(0.0, 1.0), depth));
  cv::GaussianBlur(clouds, clouds, {}, random.uniform(0.8, 3.0));
  LinearImage image;
  cv::resize(clouds, clouds, {width_px, height_px}, 0, 0, cv::INTER_CUBIC);
  cv::exp(clouds, image.luminance);
  return image;
}

LinearImage line_scene(const std::string& name, std::uint64_t seed, int width_px, int height_px) {
  constexpr double kPxPerMm = 16.0;
  Random random(seed);
  Paper paper{cv::Mat(height_px, width_px, CV_32FC1, cv::Scalar(0.1)), &random, kPxPerMm};
  draws().at(name)(paper);
  cv::GaussianBlur(paper.light, paper.light, {}, random.uniform(0.05, 0.12) * kPxPerMm);
  LinearImage image;
  image.luminance = paper.light;
  return image;
}

}  // namespace platewise::development
