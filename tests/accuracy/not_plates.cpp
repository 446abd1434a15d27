#include "accuracy/not_plates.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "accuracy/random.h"
#include "accuracy/scenes.h"
#include "accuracy/surround.h"

namespace platewise::heldout {
namespace {

cv::Size drawn_size(Random& random) {
  const int side = random.integer(900, 1700);
  const int other = static_cast<int>(side * random.uniform(0.55, 0.95));
  return random.chance(0.5) ? cv::Size(side, other) : cv::Size(other, side);
}

cv::Mat codes_of(const cv::Mat& light) {
  cv::Mat codes;
  cv::pow(cv::min(cv::max(light, 0.0), 1.0), 1.0 / 2.2, codes);
  codes.convertTo(codes, CV_8U, 255.0);
  return codes;
}

cv::Mat speckled(Random& random, const cv::Mat& codes, double sigma) {
  cv::Mat out;
  cv::Mat noise = white_noise(random, codes.size()) * sigma;
  std::vector<cv::Mat> channels;
  cv::split(codes, channels);
  for (cv::Mat& channel : channels) {
    channel.convertTo(channel, CV_32F);
    channel += noise;
    channel.convertTo(channel, CV_8U);
  }
  cv::merge(channels, out);
  return out;
}

std::string word(Random& random) {
  std::string letters;
  for (int i = random.integer(1, 10); i > 0; --i) letters += static_cast<char>('a' + random.integer(0, 25));
  return letters;
}

void lines_of_text(Random& random, cv::Mat& page, cv::Rect area, double scale, cv::Scalar ink) {
  const int line = static_cast<int>(42 * scale);
  for (int y = area.y + line; y < area.y + area.height; y += line) {
    if (random.chance(0.12)) continue;
    std::string text;
    while (static_cast<double>(text.size()) * 18.0 * scale < area.width * 0.95) text += word(random) + ' ';
    text.resize(static_cast<std::size_t>(area.width * random.uniform(0.6, 0.98) / (19.0 * scale)));
    cv::putText(page, text, {area.x, y}, cv::FONT_HERSHEY_COMPLEX, scale, ink, 1, cv::LINE_AA);
  }
}

cv::Mat page_of_text(Random& random) {
  const cv::Size size = drawn_size(random);
  cv::Mat page(size, CV_8UC3,
               cv::Scalar(random.integer(225, 255), random.integer(225, 252), random.integer(200, 250)));
  const int inset = size.width / 10;
  lines_of_text(random, page, {inset, inset, size.width - 2 * inset, size.height - 2 * inset},
                random.uniform(0.5, 0.9), cv::Scalar::all(random.integer(0, 60)));
  return speckled(random, page, random.uniform(0.5, 4.0));
}

cv::Mat screen(Random& random) {
  const cv::Size size = drawn_size(random);
  const bool dark = random.chance(0.4);
  cv::Mat shot(size, CV_8UC3, cv::Scalar::all(dark ? 30 : 242));
  cv::rectangle(shot, {0, 0, size.width, size.height / 14}, cv::Scalar(50, 90, 160), -1);
  cv::rectangle(shot, {0, size.height / 14, size.width / 5, size.height}, cv::Scalar::all(dark ? 45 : 225),
                -1);
  for (int i = 0; i < 12; ++i) {
    const cv::Rect box(random.integer(size.width / 5, size.width - 200),
                       random.integer(size.height / 10, size.height - 120), random.integer(60, 400),
                       random.integer(30, 200));
    cv::rectangle(shot, box,
                  cv::Scalar(random.integer(0, 255), random.integer(0, 255), random.integer(0, 255)),
                  random.chance(0.5) ? -1 : 2);
    cv::putText(shot, word(random), box.tl() + cv::Point(8, 22), cv::FONT_HERSHEY_SIMPLEX, 0.6,
                cv::Scalar::all(dark ? 220 : 20), 1, cv::LINE_AA);
  }
  return shot;
}

cv::Mat empty_bed(Random& random) {
  const cv::Size size = drawn_size(random);
  const cv::Mat light = random.chance(0.5) ? black_bed(random, size, 8.0) : white_lid(random, size, 8.0);
  return speckled(random, codes_of(light), random.uniform(0.5, 3.0));
}

cv::Mat noise_only(Random& random) {
  const cv::Size size = drawn_size(random);
  const cv::Mat cloudy =
      random.chance(0.5) ? cloud(random, size, random.log_uniform(4, 400), 6) : white_noise(random, size);
  cv::Mat grey = 128.0 + random.uniform(20, 90) * cloudy;
  grey.convertTo(grey, CV_8U);
  return grey;
}

cv::Mat ramp(Random& random) {
  const cv::Size size = drawn_size(random);
  const double angle = random.uniform(0.0, 6.283);
  cv::Mat grey(size, CV_8UC1);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const double t = std::cos(angle) * x / size.width + std::sin(angle) * y / size.height;
      grey.at<std::uint8_t>(y, x) = cv::saturate_cast<std::uint8_t>(128.0 + 110.0 * t);
    }
  return grey;
}

cv::Mat cat(Random& random) {
  const cv::Size size = drawn_size(random);
  cv::Mat page(size, CV_8UC3, cv::Scalar::all(random.integer(235, 255)));
  const cv::Point c(size.width / 2, size.height / 2);
  const int r = std::min(size.width, size.height) / 5;
  const cv::Scalar ink(random.integer(0, 90), random.integer(0, 90), random.integer(0, 90));
  const int pen = random.integer(2, 9);
  cv::ellipse(page, c, {r, static_cast<int>(r * 0.85)}, 0, 0, 360, ink, pen, cv::LINE_AA);
  for (const int side : {-1, 1}) {
    cv::line(page, c + cv::Point(side * r, -r / 4), c + cv::Point(side * r * 9 / 10, -r * 3 / 2), ink, pen,
             cv::LINE_AA);
    cv::line(page, c + cv::Point(side * r * 9 / 10, -r * 3 / 2), c + cv::Point(side * r / 3, -r * 4 / 5), ink,
             pen, cv::LINE_AA);
    cv::circle(page, c + cv::Point(side * r / 3, -r / 5), r / 9, ink, -1, cv::LINE_AA);
    for (int i = -1; i <= 1; ++i)
      cv::line(page, c + cv::Point(side * r / 4, r / 4), c + cv::Point(side * r * 3 / 2, r / 4 + i * r / 4),
               ink, pen, cv::LINE_AA);
  }
  cv::ellipse(page, c + cv::Point(0, 2 * r), {r * 4 / 5, r * 5 / 4}, 0, 0, 360, ink, pen, cv::LINE_AA);
  return page;
}

// A strip of thermal paper, full frame or lying on a table.
cv::Mat receipt(Random& random) {
  cv::Mat strip(random.integer(900, 1500), random.integer(380, 560), CV_8UC3,
                cv::Scalar::all(random.integer(215, 245)));
  lines_of_text(random, strip, {20, 30, strip.cols - 40, strip.rows - 60}, 0.55,
                cv::Scalar::all(random.integer(40, 110)));
  if (random.chance(0.5)) return speckled(random, strip, 3.0);
  cv::Mat table = codes_of(table_top(random, {strip.cols * 2, strip.rows + 300}, 6.0));
  strip.copyTo(
      table(cv::Rect(random.integer(50, strip.cols - 50), random.integer(50, 250), strip.cols, strip.rows)));
  return speckled(random, table, 3.0);
}

cv::Mat chart(Random& random) {
  const cv::Size size = drawn_size(random);
  cv::Mat page(size, CV_8UC3, cv::Scalar::all(random.integer(90, 255)));
  const int cells = random.integer(3, 9);
  const int side = std::min(size.width, size.height) / (cells + 1);
  for (int i = 0; i < cells * cells; ++i)
    cv::rectangle(page,
                  {side / 2 + (i % cells) * side, side / 2 + (i / cells) * side, side * 4 / 5, side * 4 / 5},
                  cv::Scalar(random.integer(0, 255), random.integer(0, 255), random.integer(0, 255)), -1);
  return page;
}

cv::Mat drawing(Random& random) {
  const auto which = static_cast<DrawnScene>(random.integer(0, kDrawnScenes - 1));
  return speckled(random, codes_of(drawn_scene(random, drawn_size(random), which)), random.uniform(0.5, 4.0));
}

}  // namespace

NotAPlate not_a_plate(std::uint64_t seed, int index, const std::vector<std::filesystem::path>& photographs) {
  Random random(seed * 15485863ULL + static_cast<std::uint64_t>(index) * 104729ULL);
  struct Kind {
    const char* what;
    cv::Mat (*draw)(Random&);
  };
  constexpr Kind kKinds[] = {{"page of text", page_of_text}, {"screen", screen}, {"empty bed", empty_bed},
                             {"noise", noise_only},          {"ramp", ramp},     {"drawn cat", cat},
                             {"receipt", receipt},           {"chart", chart},   {"drawing", drawing}};
  NotAPlate out;
  // Every other one is a photograph, each only once before they repeat.
  if (index % 2 == 0 && !photographs.empty()) {
    const auto which = static_cast<std::size_t>(index / 2) % photographs.size();
    out.what = "photograph " + photographs[which].stem().string();
    out.file.pixels = photograph(photographs[which], 1600);
    if (out.file.pixels.channels() == 3 &&
        (static_cast<std::size_t>(index / 2) / photographs.size()) % 2 == 1)
      cv::cvtColor(out.file.pixels, out.file.pixels, cv::COLOR_RGB2GRAY);
  } else {
    const Kind& kind = kKinds[static_cast<std::size_t>(index / 2) % std::size(kKinds)];
    out.what = kind.what;
    out.file.pixels = kind.draw(random);
  }
  out.file.jpeg = random.chance(0.7);
  out.file.dpi = random.chance(0.5) ? 72.0 : (random.chance(0.5) ? 300.0 : 0.0);
  out.file.camera = random.chance(0.2);
  return out;
}

}  // namespace platewise::heldout
