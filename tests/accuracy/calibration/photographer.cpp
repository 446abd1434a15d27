#include "accuracy/calibration/photographer.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "accuracy/calibration/scanning.h"
#include "platewise/stats/monotone.h"
#include "platewise/stats/random.h"

namespace platewise::simulated {
namespace {

// Net density of iron-developed iodide collodion against relative log exposure: third-party tracing of
// Skladnikiewitz, Hertel & Schmidt 1998 (handbook, numbers.csv); below 0.80 continued as an exponential toe.
double traced_iron(double x) {
  static const MonotoneCubic curve({0.80, 0.90, 1.00, 1.10, 1.20, 1.30, 1.40, 1.50, 1.60, 1.70, 1.80,
                                    1.90, 2.00, 2.10, 2.30, 2.50, 2.70, 2.90, 3.10, 3.80, 6.0},
                                   {0.07, 0.10, 0.17, 0.30, 0.44, 0.57, 0.70, 0.81, 0.91, 0.96, 1.07,
                                    1.13, 1.18, 1.22, 1.30, 1.38, 1.43, 1.49, 1.57, 1.70, 1.75});
  return x < 0.80 ? 0.07 * std::exp(4.0 * (x - 0.80)) : curve(x);
}

std::function<double(double)> negative_material(Random& random) {
  const double middle = random.uniform(-2.0, -1.2);
  const double size = random.uniform(0.8, 1.25);
  const double stretch = random.uniform(0.85, 1.2);
  if (random.chance(0.5)) return [=](double x) { return size * traced_iron((x - middle) / stretch + 1.35); };
  const double slope = random.uniform(1.6, 3.0);
  const double net = random.uniform(1.3, 2.0);
  // Grains hit at random (Poisson) over a spread of sizes: a sum of three saturations.
  return [=](double x) {
    double sum = 0.0;
    for (const double shift : {-0.25, 0.0, 0.25})
      sum += 1.0 - std::exp(-std::pow(10.0, slope * 0.5 * (x - middle + shift)));
    return net * sum / 3.0;
  };
}

// Silver lightens a black support: reflectance Rs (1 - 10^-D) + Rb 10^-2D (handbook, process.md 5d).
std::function<double(double)> positive_material(Random& random) {
  const double white = random.uniform(0.30, 0.45);
  const double black = random.uniform(0.040, 0.050);
  const double middle = random.uniform(-1.9, -1.1);
  const double amount = random.uniform(0.7, 1.4);
  const double rate = random.uniform(1.1, 1.7);
  return [=](double x) {
    const double silver = amount * (1.0 - std::exp(-std::pow(10.0, rate * (x - middle))));
    const double reflectance =
        white * (1.0 - std::pow(10.0, -silver)) + black * std::pow(10.0, -2.0 * silver);
    return std::log10(std::max(reflectance, black) / black);
  };
}

struct Frame {
  int width = 1000;
  int height = 720;
  double along_deg = 0.0;  // screen direction of the row
  double length = 0.0;     // of the row, px
  double tall = 0.0;
  double shift_x = 0.0;
  double shift_y = 0.0;
  double around = 0.0;  // density of the surround
  double blur = 0.8;    // of borders, px
  double grain = 0.0;   // density
  bool marked = false;  // tick marks beside each border
  double speck_share = 0.0;
};

double density_of_point(const Frame& frame, const std::vector<double>& steps, double u, double v) {
  const double count = static_cast<double>(steps.size());
  const double pitch = frame.length / count;
  if (std::abs(v) > 0.5 * frame.tall || u < 0.0 || u > frame.length) return frame.around;
  const double position = u / pitch;
  const auto k = static_cast<std::size_t>(std::clamp(std::floor(position), 0.0, count - 1.0));
  const double into = (position - static_cast<double>(k)) * pitch;
  if (frame.marked && v > 0.32 * frame.tall && into < 2.0) return 0.1;
  // A border is soft: the neighbour's share falls with the distance.
  const double share = 0.5 * std::erfc(into / frame.blur);
  const double before = k > 0 ? steps[k - 1] : steps[k];
  return steps[k] + share * (before - steps[k]);
}

Scan picture(const Frame& frame, const std::vector<double>& steps, const Photographer& who, Random random) {
  cv::Mat light(frame.height, frame.width, CV_32FC1);
  const double angle = frame.along_deg * std::numbers::pi / 180.0;
  const double c = std::cos(angle);
  const double s = -std::sin(angle);  // y runs down
  for (int y = 0; y < frame.height; ++y) {
    for (int x = 0; x < frame.width; ++x) {
      const double dx = x + 0.5 - 0.5 * frame.width - frame.shift_x;
      const double dy = y + 0.5 - 0.5 * frame.height - frame.shift_y;
      double density = density_of_point(frame, steps, c * dx + s * dy + 0.5 * frame.length, -s * dx + c * dy);
      density += random.normal(0.0, frame.grain);
      light.at<float>(y, x) = scanned_pixel(who, density, frame.speck_share, random);
    }
  }
  return scan_of(light, who);
}

Frame frame_of(Random& random) {
  Frame frame;
  const double quarter = 90.0 * static_cast<double>(random.whole(0, 3));
  frame.along_deg = quarter + random.uniform(-4.0, 4.0);
  const bool upright = std::fmod(quarter, 180.0) > 1.0;
  const double room = upright ? frame.height : frame.width;
  frame.length = random.uniform(0.6, 0.9) * room;
  frame.tall = random.uniform(0.15, 0.45) * (upright ? frame.width : frame.height);
  frame.shift_x = random.uniform(-0.03, 0.03) * frame.width;
  frame.shift_y = random.uniform(-0.03, 0.03) * frame.height;
  frame.blur = random.uniform(0.6, 1.8);
  frame.marked = random.chance(0.4);
  frame.speck_share = random.chance(0.5) ? 0.001 : 0.0;
  return frame;
}

}  // namespace

double Photographer::plate_density(double log_exposure) const {
  const double silver = fog + net_silver(log_exposure);
  return is_positive(kind) ? support - silver : support + silver;
}

Photographer photographer(std::uint64_t seed) {
  Random random = Random(seed).fork(1);
  Photographer who;
  who.eight_bit = random.chance(0.4);
  who.kind = random.chance(0.5) ? PlateKind::tintype : PlateKind::negative;
  who.support = is_positive(who.kind) ? random.uniform(1.25, 1.45) : 0.05;
  who.fog = random.uniform(0.0, 0.12);
  const int counts[] = {11, 21, 31};
  const int count = counts[random.whole(0, 2)];
  double density = random.uniform(0.03, 0.08);
  for (int i = 0; i < count; ++i) {
    who.wedge.push_back(density);
    density += 3.0 / (count - 1) * random.uniform(0.93, 1.07);
  }
  const double blueness = random.uniform(0.97, 1.10);  // wedges stain the blue a little
  for (const double step : who.wedge) who.blue.push_back(blueness * step);
  const double gain = random.uniform(0.65, 0.97);
  const double contrast = random.uniform(0.96, 1.05);
  const double flare = random.uniform(0.0003, 0.004);
  const double bend = random.uniform(-0.04, 0.04);  // the tone curve is not quite the profile's
  who.device = [=](double of_density) {
    const double light = flare + gain * std::pow(10.0, -contrast * of_density);
    return std::pow(light, 1.0 + bend * (1.0 - light));
  };
  who.net_silver = is_positive(who.kind) ? positive_material(random) : negative_material(random);
  return who;
}

Wedge wedge_file(const Photographer& who, std::uint64_t seed) {
  Random random = Random(seed).fork(2);
  Wedge wedge;
  for (std::size_t i = 0; i < who.wedge.size(); ++i) {
    wedge.steps.push_back(
        {who.wedge[i] + random.normal(0.0, 0.005), who.blue[i] + random.normal(0.0, 0.008)});
  }
  return wedge;
}

Scan scan_of_wedge(const Photographer& who, std::uint64_t seed) {
  Random random = Random(seed).fork(3);
  Frame frame = frame_of(random);
  frame.around = random.chance(0.5) ? random.uniform(0.0, 0.02) : random.uniform(3.0, 4.0);
  frame.grain = 0.004;
  return picture(frame, who.wedge, who, random.fork(1));
}

Scan scan_of_plate(const Photographer& who, std::uint64_t seed) {
  Random random = Random(seed).fork(4);
  Frame frame = frame_of(random);
  if (random.chance(0.4)) {  // bands over the whole height
    frame.tall = 2000.0;
    frame.along_deg = 180.0 * static_cast<double>(random.whole(0, 1));
    frame.length = random.uniform(0.75, 0.95) * frame.width;
  }
  frame.around = who.plate_density(-9.0);
  frame.grain = random.uniform(0.01, 0.03);
  std::vector<double> steps;
  for (const double blue : who.blue) {
    steps.push_back(who.plate_density(who.blue.front() - blue) +
                    random.normal(0.0, 0.008));  // uneven development
  }
  return picture(frame, steps, who, random.fork(1));
}

}  // namespace platewise::simulated
