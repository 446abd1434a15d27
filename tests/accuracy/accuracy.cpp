#include <filesystem>
#include <iostream>
#include <opencv2/imgproc.hpp>
#include <vips/vips8>

#include "accuracy/not_plates.h"
#include "accuracy/rendering.h"

using namespace platewise;

int main(int argc, char** argv) {
  if (VIPS_INIT(argv[0])) return 1;
  const int from = std::atoi(argv[1]), to = std::atoi(argv[2]);
  const std::filesystem::path dir = argv[3];
  const bool plates = argc < 5;
  std::filesystem::create_directories(dir);
  const auto photographs = heldout::installed_photographs();
  for (int i = from; i < to; ++i) {
    heldout::PictureFile file;
    if (plates) {
      auto r = heldout::rendering(1, i, photographs);
      std::cout << r.story << " contrast";
      for (double c : r.truth.side_contrast) std::cout << ' ' << c;
      std::cout << " shows " << r.truth.border_shows() << " sup " << r.truth.support << " margin "
                << r.truth.margin.value_or(-1) << " floor " << r.truth.floor << " mid " << r.truth.midtone
                << " high " << r.truth.highlight << " cov " << r.truth.covered_fraction << " seen "
                << r.truth.support_seen << std::endl;
      file = r.file;
      if (file.pixels.depth() == CV_16U) {
        cv::Mat f;
        file.pixels.convertTo(f, CV_32F, 1 / 65535.0);
        if (!file.srgb_profile) cv::pow(f, 1 / 2.2, f);
        f.convertTo(file.pixels, CV_8U, 255);
      }
      if (file.pixels.channels() == 1) cv::cvtColor(file.pixels, file.pixels, cv::COLOR_GRAY2RGB);
      std::vector<cv::Point> q;
      for (auto p : r.truth.corners_px) q.emplace_back(int(p.x), int(p.y));
      cv::polylines(file.pixels, std::vector<std::vector<cv::Point>>{q}, true, {255, 0, 0}, 2);
    } else {
      auto n = heldout::not_a_plate(1, i, photographs);
      std::cout << n.what << std::endl;
      file = n.file;
      if (file.pixels.channels() == 1) cv::cvtColor(file.pixels, file.pixels, cv::COLOR_GRAY2RGB);
    }
    double s = 640.0 / std::max(file.pixels.cols, file.pixels.rows);
    cv::resize(file.pixels, file.pixels, {}, s, s, cv::INTER_AREA);
    cv::copyMakeBorder(file.pixels, file.pixels, 0, 640 - file.pixels.rows, 0, 640 - file.pixels.cols,
                       cv::BORDER_CONSTANT, {90, 0, 120});
    char name[64];
    std::snprintf(name, 64, "%03d.png", i);
    heldout::write_png(file.pixels, dir / name);
  }
}
