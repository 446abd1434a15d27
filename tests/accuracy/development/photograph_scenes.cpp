#include "accuracy/development/photograph_scenes.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "accuracy/photographs.h"

namespace platewise::development {

std::vector<std::filesystem::path> photographs_in(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> files;
  std::error_code failed;
  for (const auto& entry : std::filesystem::directory_iterator(folder, failed))
    if (entry.is_regular_file(failed)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

LinearImage photograph_scene(const std::filesystem::path& file, int long_side_px) {
  const cv::Mat codes = heldout::photograph(file, long_side_px);
  if (codes.empty()) return {};
  LinearImage scene;
  if (codes.channels() == 3)
    cv::transform(heldout::linear_light(codes), scene.luminance, cv::Matx13f(0.1F, 0.25F, 0.65F));
  else
    scene.luminance = heldout::linear_light(codes);
  return scene;
}

}  // namespace platewise::development
