#include "accuracy/scenes.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "accuracy/photographs.h"
#include "accuracy/scenes_lines.h"

namespace platewise::heldout {
namespace {

using Canvas = cv::Mat;

cv::Scalar tone(Random& random, double low, double high) {
  return cv::Scalar::all(random.log_uniform(low, high));
}

cv::Point at(const Canvas& canvas, double x, double y) {
  return {static_cast<int>(x * canvas.cols), static_cast<int>(y * canvas.rows)};
}

cv::Size span(const Canvas& canvas, double width, double height) {
  const int side = std::min(canvas.cols, canvas.rows);
  return {std::max(1, static_cast<int>(width * side)), std::max(1, static_cast<int>(height * side))};
}

// A solid that is lit from one side: an ellipse whose light falls off like a sphere's.
void lit_ellipse(Canvas& canvas, cv::Point centre, cv::Size axes, double albedo, double light_x,
                 double light_y) {
  const cv::Rect box =
      cv::Rect(centre.x - axes.width, centre.y - axes.height, 2 * axes.width, 2 * axes.height) &
      cv::Rect(0, 0, canvas.cols, canvas.rows);
  for (int y = box.y; y < box.y + box.height; ++y)
    for (int x = box.x; x < box.x + box.width; ++x) {
      const double u = (x - centre.x) / static_cast<double>(axes.width);
      const double v = (y - centre.y) / static_cast<double>(axes.height);
      const double inside = 1.0 - u * u - v * v;
      if (inside <= 0.0) continue;
      const double lit = std::max(0.0, u * light_x + v * light_y + 0.7 * std::sqrt(inside));
      canvas.at<float>(y, x) = static_cast<float>(albedo * (0.12 + 0.88 * lit));
    }
}

Canvas portrait(Random& random, cv::Size size) {
  Canvas canvas(size, CV_32FC1, tone(random, 0.006, 0.35));
  canvas = canvas.mul(1.0 + 0.35 * cloud(random, size, size.width / 3.0, 4));
  const double light_x = random.uniform(-0.7, 0.7);
  const double x = random.uniform(0.35, 0.65);
  const double y = random.uniform(0.28, 0.42);
  const double head = random.uniform(0.12, 0.2);
  const double cloth = random.log_uniform(0.01, 0.5);
  lit_ellipse(canvas, at(canvas, x, 1.05), span(canvas, 2.6 * head, 3.2 * head), cloth, light_x, -0.5);
  const cv::Point neck = at(canvas, x, y + head * 1.2);
  cv::fillConvexPoly(canvas,
                     std::vector<cv::Point>{neck + at(canvas, -0.09, 0.02), neck + at(canvas, 0.09, 0.02),
                                            neck + at(canvas, 0.0, 0.25)},
                     tone(random, 0.7, 1.1));
  lit_ellipse(canvas, at(canvas, x, y), span(canvas, head * 0.8, head), random.uniform(0.3, 0.6), light_x,
              -0.3);
  cv::ellipse(canvas, at(canvas, x, y - 0.05), span(canvas, head * 0.85, head * 0.85), 0, 180, 360,
              tone(random, 0.01, 0.2), std::max(3, canvas.cols / 25));
  for (const double side : {-1.0, 1.0})
    cv::ellipse(canvas, at(canvas, x + side * head * 0.3, y), span(canvas, head * 0.12, head * 0.06), 0, 0,
                360, cv::Scalar::all(0.04), -1);
  cv::ellipse(canvas, at(canvas, x, y + head * 0.45), span(canvas, head * 0.25, head * 0.05), 0, 0, 360,
              cv::Scalar::all(0.1), -1);
  return canvas;
}

Canvas landscape(Random& random, cv::Size size, bool leafy) {
  const double horizon = random.uniform(0.25, 0.65);
  Canvas canvas(size, CV_32FC1, tone(random, 0.6, 1.1));
  canvas = canvas.mul(1.0 + random.uniform(0.02, 0.25) * cloud(random, size, size.width / 2.0, 5));
  Canvas ground(size, CV_32FC1, tone(random, 0.03, 0.25));
  ground = ground.mul(cv::max(0.1, 1.0 + 0.9 * cloud(random, size, size.width / 12.0, 7)));
  const cv::Mat profile = cloud(random, {size.width, 1}, size.width / 3.0, 7);
  for (int x = 0; x < size.width; ++x) {
    const int top = static_cast<int>(size.height * (horizon + 0.12 * profile.at<float>(x)));
    const cv::Rect strip(x, std::clamp(top, 0, size.height - 1), 1,
                         size.height - std::clamp(top, 0, size.height - 1));
    ground(strip).copyTo(canvas(strip));
  }
  const int trees = leafy ? random.integer(0, 9) : 0;
  for (int i = 0; i < trees; ++i) {
    const double x = random.uniform();
    const double foot = random.uniform(horizon, 0.95);
    const double height = random.uniform(0.1, 0.45);
    const cv::Scalar bark = tone(random, 0.01, 0.1);
    cv::line(canvas, at(canvas, x, foot), at(canvas, x + random.uniform(-0.02, 0.02), foot - height), bark,
             std::max(2, static_cast<int>(height * 25)));
    for (int leaf = 0; leaf < 160; ++leaf)
      cv::circle(canvas,
                 at(canvas, x + random.normal(0, height / 5), foot - height + random.normal(0, height / 5)),
                 random.integer(2, 9), tone(random, 0.01, 0.14), -1);
  }
  return canvas;
}

Canvas house(Random& random, cv::Size size) {
  Canvas canvas(size, CV_32FC1, tone(random, 0.15, 1.0));
  const int boards = random.integer(12, 60);
  for (int i = 0; i < boards; ++i)
    cv::line(canvas, at(canvas, 0, i / static_cast<double>(boards)),
             at(canvas, 1, i / static_cast<double>(boards)), tone(random, 0.05, 0.3), random.integer(1, 3));
  const int columns = random.integer(2, 5);
  const int rows = random.integer(2, 4);
  const cv::Scalar frame = tone(random, 0.5, 1.1);
  for (int column = 0; column < columns; ++column)
    for (int row = 0; row < rows; ++row) {
      const cv::Point corner = at(canvas, (column + 0.25) / columns, (row + 0.25) / rows);
      const cv::Rect window(corner, cv::Size(at(canvas, 0.5 / columns, 0.5 / rows)));
      cv::rectangle(canvas, window, tone(random, 0.004, 0.05), -1);
      cv::rectangle(canvas, window, frame, std::max(2, canvas.cols / 90));
      const int middle = window.x + window.width / 2;
      cv::line(canvas, {middle, window.y}, {middle, window.y + window.height}, frame, 3);
    }
  const int railings = random.integer(0, 40);
  for (int i = 0; i < railings; ++i)
    cv::line(canvas, at(canvas, i / 40.0, 0.8), at(canvas, i / 40.0, 1.0), tone(random, 0.01, 0.04), 3);
  cv::putText(canvas, "BOOTS & SHOES", at(canvas, 0.1, 0.12), cv::FONT_HERSHEY_TRIPLEX, canvas.cols / 450.0,
              tone(random, 0.005, 0.02), 3, cv::LINE_AA);
  return canvas.mul(1.0 + 0.2 * cloud(random, size, size.width / 2.0, 3));
}

Canvas bottles(Random& random, cv::Size size) {
  Canvas canvas(size, CV_32FC1, tone(random, 0.02, 0.8));
  cv::rectangle(canvas, at(canvas, 0, 0.7), at(canvas, 1, 1), tone(random, 0.1, 0.7), -1);
  const int things = random.integer(3, 9);
  const double light_x = random.uniform(-0.8, 0.8);
  for (int i = 0; i < things; ++i) {
    const double x = random.uniform(0.1, 0.9);
    const double height = random.uniform(0.15, 0.5);
    const double width = random.uniform(0.04, 0.12);
    const double albedo = random.log_uniform(0.02, 1.0);
    lit_ellipse(canvas, at(canvas, x, 0.75 - height / 2), span(canvas, width, height / 2), albedo, light_x,
                -0.2);
    lit_ellipse(canvas, at(canvas, x, 0.75 - height), span(canvas, width / 3, height / 4), albedo, light_x,
                -0.2);
    cv::line(canvas, at(canvas, x - width / 3, 0.75 - height * 0.8),
             at(canvas, x - width / 3, 0.75 - height * 0.4), cv::Scalar::all(1.0), 3, cv::LINE_AA);
  }
  return canvas;
}

Canvas lace(Random& random, cv::Size size) {
  Canvas canvas(size, CV_32FC1, tone(random, 0.02, 0.1));
  canvas = canvas.mul(1.0 + 0.5 * cloud(random, size, size.width / 4.0, 5));
  const int rings = random.integer(60, 240);
  for (int i = 0; i < rings; ++i)
    cv::circle(canvas, at(canvas, random.uniform(), random.uniform(0.2, 1.0)), random.integer(8, 40),
               tone(random, 0.3, 1.0), random.integer(1, 3), cv::LINE_AA);
  const int threads = random.integer(5, 60);
  for (int i = 0; i < threads; ++i)
    cv::line(canvas, at(canvas, random.uniform(), random.uniform()),
             at(canvas, random.uniform(), random.uniform()), tone(random, 0.1, 1.0), 1, cv::LINE_AA);
  return canvas;
}

double percentile(const cv::Mat& values, double share) {
  cv::Mat sorted = values.reshape(1, 1).clone();
  const auto wanted = static_cast<std::ptrdiff_t>(share * static_cast<double>(sorted.cols - 1));
  float* first = sorted.ptr<float>();
  std::nth_element(first, first + wanted, first + sorted.cols);
  return first[wanted];
}

// Mostly the blue channel, as wet collodion sees; cropped at random and turned or mirrored.
Canvas photographed(Random& random, cv::Size size, const std::vector<std::filesystem::path>& files) {
  const auto& file = files[static_cast<std::size_t>(random.integer(0, static_cast<int>(files.size()) - 1))];
  const int long_side = static_cast<int>(1.6 * std::max(size.width, size.height));
  const cv::Mat codes = photograph(file, long_side);
  if (codes.empty() || codes.channels() != 3) return {};
  cv::Mat light;
  cv::transform(linear_light(codes), light, cv::Matx13f(0.05F, 0.2F, 0.75F));
  if ((size.width > size.height) != (light.cols > light.rows) && random.chance(0.5))
    cv::rotate(light, light, cv::ROTATE_90_CLOCKWISE);
  if (random.chance(0.5)) cv::flip(light, light, 1);
  const double enlarge = std::max(
      {1.0, size.width / static_cast<double>(light.cols), size.height / static_cast<double>(light.rows)});
  cv::resize(light, light, {}, enlarge * 1.001, enlarge * 1.001, cv::INTER_LINEAR);
  const int left = random.integer(0, std::max(0, light.cols - size.width));
  const int top = random.integer(0, std::max(0, light.rows - size.height));
  return light(cv::Rect(left, top, size.width, size.height) & cv::Rect(0, 0, light.cols, light.rows)).clone();
}

}  // namespace

cv::Mat drawn_scene(Random& random, cv::Size size, DrawnScene which) {
  switch (which) {
    case DrawnScene::portrait:
      return portrait(random, size);
    case DrawnScene::landscape:
      return landscape(random, size, true);
    case DrawnScene::house:
      return house(random, size);
    case DrawnScene::bottles:
      return bottles(random, size);
    case DrawnScene::lace:
      return lace(random, size);
  }
  return {};
}

namespace {

// What the lens makes of the light: soft, and with a veil of stray light over the whole picture.
cv::Mat through_the_lens(Random& random, Canvas light) {
  light = cv::max(light, 0.0);
  cv::GaussianBlur(light, light, {}, random.uniform(0.7, 2.5));
  const double white = std::max(percentile(light, 0.98), 1e-4);
  light = light / white + random.log_uniform(0.002, 0.05) * cv::mean(light)[0] / white + 1e-4;
  cv::Mat log_light;
  cv::log(light, log_light);
  return log_light / std::log(10.0);
}

Canvas of_subject(Random& random, cv::Size size, Subject subject) {
  switch (subject) {
    case Subject::landscape: {
      // Loose round leaves against the sky are no scene's own: nobody could tell them from bare specks.
      Canvas canvas = landscape(random, size, false);
      draw_branches(random, canvas);
      return canvas;
    }
    case Subject::still_life:
      return bottles(random, size);
    case Subject::facade:
      return house(random, size);
    case Subject::railings:
      return railings(random, size);
    case Subject::lace:
      return lace(random, size);
    case Subject::text:
      return lettering(random, size);
    case Subject::stars:
      return stars(random, size);
    case Subject::hair:
      return hair_and_grass(random, size);
    default:
      return portrait(random, size);
  }
}

}  // namespace

cv::Mat scene_log_exposure(Random& random, cv::Size size,
                           const std::vector<std::filesystem::path>& photographs) {
  Canvas light;
  if (!photographs.empty() && random.chance(0.6)) light = photographed(random, size, photographs);
  if (light.size() != size)
    light = drawn_scene(random, size, static_cast<DrawnScene>(random.integer(0, kDrawnScenes - 1)));
  return through_the_lens(random, std::move(light));
}

cv::Mat scene_log_exposure(Random& random, cv::Size size, Subject subject,
                           const std::vector<std::filesystem::path>& photographs) {
  Canvas light;
  if (subject == Subject::photograph && !photographs.empty()) light = photographed(random, size, photographs);
  if (light.size() != size) light = of_subject(random, size, subject);
  return through_the_lens(random, std::move(light));
}

}  // namespace platewise::heldout
