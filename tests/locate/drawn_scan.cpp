#include "locate/drawn_scan.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise::drawn {
namespace {

double chance(std::uint64_t seed, int x, int y) {
  std::uint64_t h = seed * 0x9E3779B97F4A7C15ULL + static_cast<std::uint64_t>(x) * 0xC2B2AE3D27D4EB4FULL +
                    static_cast<std::uint64_t>(y) * 0x165667B19E3779F9ULL;
  h ^= h >> 31;
  h *= 0xBF58476D1CE4E5B9ULL;
  h ^= h >> 27;
  h *= 0x94D049BB133111EBULL;
  h ^= h >> 31;
  return static_cast<double>(h >> 11) * 0x1.0p-53;
}

// Smooth noise in [0, 1] with features of size 1.
double clouds(std::uint64_t seed, double x, double y) {
  const int ix = static_cast<int>(std::floor(x));
  const int iy = static_cast<int>(std::floor(y));
  const auto ease = [](double t) { return t * t * (3 - 2 * t); };
  const double fx = ease(x - ix);
  const double fy = ease(y - iy);
  const double top = chance(seed, ix, iy) * (1 - fx) + chance(seed, ix + 1, iy) * fx;
  const double bottom = chance(seed, ix, iy + 1) * (1 - fx) + chance(seed, ix + 1, iy + 1) * fx;
  return top * (1 - fy) + bottom * fy;
}

double rough(std::uint64_t seed, double x, double y, int octaves) {
  double sum = 0, weight = 0, part = 1;
  for (int i = 0; i < octaves; ++i, part *= 0.55, x *= 2.03, y *= 2.03) {
    sum += part * clouds(seed + static_cast<std::uint64_t>(i) * 101, x, y);
    weight += part;
  }
  return sum / weight;
}

struct Colour {
  double r, g, b;
};
Colour operator*(double k, Colour c) {
  return {k * c.r, k * c.g, k * c.b};
}

Colour ground_at(const Scene& scene, double x, double y) {
  const auto s = scene.seed * 7919;
  const double size = 900.0;
  const double px = x / size, py = y / size;
  Colour colour{};
  switch (scene.ground) {
    case Ground::white_bed:
      colour = {0.86, 0.86, 0.86};
      break;
    case Ground::grey_bed:
      colour = {0.25, 0.25, 0.25};
      break;
    case Ground::black_bed:
      colour = {0.012, 0.012, 0.012};
      break;
    case Ground::paper:
      colour = (0.97 + 0.06 * rough(s, px * 200, py * 200, 2)) * Colour{0.7, 0.69, 0.64};
      break;
    case Ground::cloth: {
      const double weave = 0.5 + 0.25 * std::sin(x * 0.9) + 0.25 * std::sin(y * 0.9);
      colour = (0.7 + 0.3 * weave + 0.4 * (rough(s, px * 6, py * 6, 4) - 0.5)) * Colour{0.10, 0.16, 0.30};
      break;
    }
    case Ground::wood:
    case Ground::dark_wood: {
      const double bend = 0.03 * rough(s, px * 2, py * 2, 2);
      const double grain = rough(s + 5, px * 3, (py + bend) * 90, 3);
      const double board = (py + 0.1) * 4;
      const bool gap = board - std::floor(board) < 0.012;
      const double tone =
          (gap ? 0.3 : 1.0) * (0.6 + 0.8 * grain) * (0.9 + 0.2 * chance(s, static_cast<int>(board), 3));
      colour = tone * (scene.ground == Ground::wood ? Colour{0.42, 0.25, 0.12} : Colour{0.10, 0.06, 0.035});
      break;
    }
  }
  if (scene.ground_light >= 0) {
    const double y_now = 0.2126 * colour.r + 0.7152 * colour.g + 0.0722 * colour.b;
    colour = scene.ground_light / y_now * colour;
  }
  return colour;
}

// A busy picture in [0, 1]: sky, ground, a building with windows, trunks, a round head.
double picture_at(const Plate& plate, double u, double v) {
  const auto s = plate.seed * 104729;
  double tone = 0.15 + 0.7 * rough(s, u * 5, v * 5, 5);
  const double horizon = 0.35 + 0.3 * chance(s, 1, 1);
  if (v < horizon) tone = 0.55 * tone + 0.45 * chance(s, 2, 1);
  const double left = 0.1 + 0.3 * chance(s, 3, 1), top = 0.2 + 0.2 * chance(s, 4, 1);
  if (u > left && u < left + 0.4 && v > top && v < 0.85) {
    tone = 0.3 * tone + 0.5 * chance(s, 5, 1);
    const double wu = (u - left) * 12, wv = (v - top) * 9;
    if (wu - std::floor(wu) < 0.5 && wv - std::floor(wv) < 0.6) tone *= 0.3;
  }
  if (std::hypot(u - 0.7, (v - 0.5) * 1.3) < 0.12) tone = 0.9;
  if (std::abs(u - 0.9 + 0.03 * std::sin(v * 9)) < 0.012) tone *= 0.2;
  return std::clamp(tone, 0.0, 1.0);
}

double inside_distance(const Plate& plate, double x, double y) {
  const auto s = plate.seed * 31337;
  const auto wander = [&](int side, double t) {
    return plate.ragged_mm * ((rough(s + static_cast<std::uint64_t>(side), t * 0.5, 0, 3) - 0.5) * 2.0);
  };
  const double w = plate.width_mm, h = plate.height_mm;
  double d = std::min({x + wander(0, y), w - x + wander(1, y), y + wander(2, x), h - y + wander(3, x)});
  const double cx = std::min(x, w - x), cy = std::min(y, h - y);
  if (plate.round_mm > 0 && cx < plate.round_mm && cy < plate.round_mm)
    d = std::min(d, plate.round_mm - std::hypot(plate.round_mm - cx, plate.round_mm - cy));
  const bool top_right_or_bottom_left = (x > w / 2) == (y < h / 2);
  if (plate.clip_mm > 0 && top_right_or_bottom_left) d = std::min(d, (cx + cy - plate.clip_mm) * 0.707);
  if (plate.broken_corner && x > w / 2 && y > h / 2)
    d = std::min(d, (cx * 1.4 + cy - 9 + 3 * rough(s, x, y, 3)) * 0.6);
  return d;
}

// Signed distance into a rectangle with rounded corners.
double rounded(double x, double y, double l, double t, double r, double b, double radius) {
  const double cx = std::min(x - l, r - x), cy = std::min(y - t, b - y);
  if (cx < radius && cy < radius) return radius - std::hypot(radius - cx, radius - cy);
  return std::min(cx, cy);
}

double plate_light(const Plate& plate, double x, double y) {
  const auto s = plate.seed * 65537;
  const auto rim = [&](int side) { return plate.rim_mm * (0.6 + 0.8 * chance(s, side, 7)); };
  const double l = rim(0), t = rim(1), r = plate.width_mm - rim(2), b = plate.height_mm - rim(3);
  double light = plate.rim_light * (0.85 + 0.3 * rough(s + 9, x * 3, y * 3, 3));
  const double into = plate.rim_mm > 0 ? rounded(x, y, l, t, r, b, plate.rim_corner_mm) : 1.0;
  const double tone = picture_at(plate, x / plate.width_mm, y / plate.height_mm);
  const double picture = plate.rim_light + (plate.white_light - plate.rim_light) * std::pow(tone, 1.5);
  light += std::clamp(into / 0.25 + 0.5, 0.0, 1.0) * (picture - light);
  if (plate.bare_mm > 0 && x + y < plate.bare_mm * (0.8 + 0.4 * rough(s + 3, x * 0.3, y * 0.3, 3)))
    light = 0.6 * plate.rim_light;
  return light;
}

void add_specks(cv::Mat& light, const Plate& plate) {
  cv::RNG random(plate.seed * 77 + 5);
  const Homography scan_from_plate =
      target_from_source(rectangle(plate.width_mm, plate.height_mm), plate.corners_px);
  for (int i = 0; i < plate.specks; ++i) {
    const Point p =
        scan_from_plate({random.uniform(0.0, plate.width_mm), random.uniform(0.0, plate.height_mm)});
    const double tone = random.uniform(0.0, 0.6);
    cv::circle(light, cv::Point(static_cast<int>(p.x), static_cast<int>(p.y)), random.uniform(0, 3),
               cv::Scalar::all(tone), cv::FILLED, cv::LINE_8);
  }
}

double srgb_code(double v) {
  return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
}
double srgb_light(double c) {
  return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

void through_the_scanner(cv::Mat& light, const Scene& scene) {
  if (scene.blur_px > 0) cv::GaussianBlur(light, light, {0, 0}, scene.blur_px);
  light *= scene.exposure;
  cv::RNG random(scene.seed * 13 + 1);
  cv::Mat noise(light.size(), light.type());
  random.fill(noise, cv::RNG::NORMAL, 0, scene.noise);
  cv::Mat root;
  cv::sqrt(cv::max(light, 0.0), root);
  light += noise.mul(root * 0.75 + cv::Scalar::all(0.25));
  light = cv::min(cv::max(light, 0.0), 1.0);
  if (scene.bits == 8) {
    for (auto it = light.begin<cv::Vec3f>(); it != light.end<cv::Vec3f>(); ++it) {
      for (int c = 0; c < 3; ++c)
        (*it)[c] = static_cast<float>(srgb_light(std::round(srgb_code((*it)[c]) * 255) / 255));
    }
  }
}

Scan as_scan(const cv::Mat& light, bool colour, int bits) {
  Scan scan;
  scan.path = "drawn.tif";
  scan.width_px = light.cols;
  scan.height_px = light.rows;
  scan.bits = bits;
  scan.channels = colour ? 3 : 1;
  cv::transform(light, scan.image.luminance, cv::Matx13f(0.2126F, 0.7152F, 0.0722F));
  scan.image.darkest = scan.image.luminance;
  scan.image.lightest = scan.image.luminance;
  if (colour) scan.image.rgb = light;
  return scan;
}

}  // namespace

Scan scan_of(const Scene& scene) {
  constexpr int kFiner = 2;  // supersampling each way
  cv::Mat light(scene.height_px, scene.width_px, CV_32FC3);
  std::vector<Homography> plate_from_scan;
  for (const Plate& plate : scene.plates) {
    plate_from_scan.push_back(
        target_from_source(plate.corners_px, rectangle(plate.width_mm, plate.height_mm)));
  }
  const auto light_at = [&](double x, double y) -> Colour {
    double shade = 1.0;
    for (std::size_t i = 0; i < scene.plates.size(); ++i) {
      const Point p = plate_from_scan[i]({x, y});
      if (inside_distance(scene.plates[i], p.x, p.y) >= 0)
        return plate_light(scene.plates[i], p.x, p.y) * Colour{1.03, 1.0, 0.93};
      const double away =
          -rounded(p.x - 1.5, p.y - 1.5, 0, 0, scene.plates[i].width_mm, scene.plates[i].height_mm, 3);
      shade *= 1.0 - scene.shadow * std::exp(-std::max(0.0, away) / 2.0);
    }
    return shade * ground_at(scene, x, y);
  };
  for (int y = 0; y < scene.height_px; ++y) {
    for (int x = 0; x < scene.width_px; ++x) {
      Colour sum{};
      for (int i = 0; i < kFiner * kFiner; ++i) {
        const Colour c = light_at(x + (i % kFiner + 0.5) / kFiner, y + (i / kFiner + 0.5) / kFiner);
        sum = {sum.r + c.r, sum.g + c.g, sum.b + c.b};
      }
      const double falloff =
          1.0 - scene.uneven_light * (0.6 * x / scene.width_px + 0.4 * y / scene.height_px);
      const Colour c = falloff / (kFiner * kFiner) * sum;
      light.at<cv::Vec3f>(y, x) = {static_cast<float>(c.r), static_cast<float>(c.g), static_cast<float>(c.b)};
    }
  }
  for (const Plate& plate : scene.plates) add_specks(light, plate);
  through_the_scanner(light, scene);
  return as_scan(light, scene.colour, scene.bits);
}

Quad turned_rectangle(Point centre, double width_px, double height_px, double angle_deg) {
  const double a = angle_deg * std::numbers::pi / 180.0;
  Quad quad = rectangle(width_px, height_px);
  for (Point& p : quad) {
    const double x = p.x - width_px / 2, y = p.y - height_px / 2;
    p = {centre.x + x * std::cos(a) + y * std::sin(a), centre.y - x * std::sin(a) + y * std::cos(a)};
  }
  return quad;
}

Quad in_perspective(Quad quad, Point centre, double tilt_x, double tilt_y) {
  const double reach = distance(quad[0], quad[2]);
  for (Point& p : quad) {
    const Point off = p - centre;
    const double depth = 1.0 + (tilt_x * off.x + tilt_y * off.y) / reach;
    p = centre + 1.0 / depth * off;
  }
  return quad;
}

double corner_error_percent(const Quad& found, const Quad& truth) {
  double worst = 0;
  for (std::size_t i = 0; i < 4; ++i) worst = std::max(worst, distance(found[i], truth[i]));
  return 100.0 * worst / distance(truth[0], truth[2]);
}

Scan scan_without_plate(NotAPlate what, std::uint64_t seed) {
  Scene scene;
  scene.width_px = 1000;
  scene.height_px = 800;
  scene.seed = seed;
  scene.blur_px = what == NotAPlate::screenshot ? 0.0 : 0.7;
  scene.noise = what == NotAPlate::screenshot ? 0.0 : 0.005;
  scene.bits = 8;
  cv::Mat light(scene.height_px, scene.width_px, CV_32FC3);
  cv::RNG random(seed + 999);
  for (int y = 0; y < light.rows; ++y) {
    for (int x = 0; x < light.cols; ++x) {
      double tone = 0.0;
      const double u = x / 800.0, v = y / 800.0;
      switch (what) {
        case NotAPlate::empty_bed:
          tone = seed % 2 == 0 ? 0.85 : 0.012;
          break;
        case NotAPlate::gradient:
          tone = 0.1 + 0.6 * u + 0.1 * v;
          break;
        case NotAPlate::noise:
          tone = chance(seed, x, y);
          break;
        case NotAPlate::page_of_text:
          tone = 0.8;
          break;
        case NotAPlate::screenshot:
          tone = 0.75;
          break;
        case NotAPlate::landscape:
          tone = v < 0.4 + 0.1 * rough(seed, u * 3, 0, 4) ? 0.6 - 0.2 * v
                                                          : 0.4 * rough(seed + 1, u * 12, v * 12, 6);
          break;
        case NotAPlate::branches:
          tone = 0.6;
          break;
        case NotAPlate::bricks: {
          const double row = v * 14, column = u * 6 + 0.5 * (static_cast<int>(row) % 2);
          const bool joint = row - std::floor(row) < 0.1 || column - std::floor(column) < 0.04;
          tone = joint ? 0.35
                       : 0.1 + 0.1 * chance(seed, static_cast<int>(row), static_cast<int>(column)) +
                             0.05 * rough(seed, u * 40, v * 40, 3);
          break;
        }
      }
      light.at<cv::Vec3f>(y, x) = cv::Vec3f::all(static_cast<float>(tone));
    }
  }
  const auto at = [&](int x, int y) { return cv::Point(x, y); };
  if (what == NotAPlate::branches) {
    for (int i = 0; i < 60; ++i) {
      const cv::Point from = at(random.uniform(0, 1000), random.uniform(0, 800));
      cv::line(light, from, from + at(random.uniform(-400, 400), random.uniform(-400, 400)),
               cv::Scalar::all(random.uniform(0.02, 0.3)), random.uniform(1, 14), cv::LINE_AA);
    }
  }
  if (what == NotAPlate::page_of_text) {
    for (int line = 70; line < 730; line += 24) {
      int x = 80;
      const int end = random.uniform(0, 5) == 0 ? random.uniform(300, 700) : 920;
      while (x < end) {
        const int word = random.uniform(20, 90);
        for (int letter = x; letter < std::min(x + word, end); letter += 10)
          cv::rectangle(light, at(letter, line + random.uniform(0, 5)),
                        at(letter + random.uniform(2, 7), line + 12), cv::Scalar::all(0.03), cv::FILLED);
        x += word + 9;
      }
    }
  }
  if (what == NotAPlate::screenshot) {
    const int l = random.uniform(60, 200), t = random.uniform(40, 150);
    const auto grey = [](double g) { return cv::Scalar::all(g); };
    cv::rectangle(light, at(l, t), at(l + 700, t + 560), grey(0.95), cv::FILLED);
    cv::rectangle(light, at(l, t), at(l + 700, t + 40), grey(0.2), cv::FILLED);
    cv::rectangle(light, at(l, t + 40), at(l + 160, t + 560), grey(0.6), cv::FILLED);
    for (int i = 0; i < 18; ++i)
      cv::rectangle(light, at(l + 190, t + 70 + 26 * i),
                    at(l + 190 + random.uniform(100, 480), t + 78 + 26 * i), grey(0.1), cv::FILLED);
  }
  through_the_scanner(light, scene);
  return as_scan(light, false, 8);
}

}  // namespace platewise::drawn
