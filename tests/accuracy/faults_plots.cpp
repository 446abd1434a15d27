#include <fmt/format.h>

#include <cmath>
#include <fstream>

#include "accuracy/faults_accuracy.h"

namespace platewise::accuracy {
namespace {

// Edges of the plot's bins in contrast-to-noise, half an octave or so apart.
constexpr std::array<double, 9> kBins{1.0, 1.5, 2.0, 3.0, 4.0, 5.5, 7.5, 10.0, 20.0};
constexpr double kPanel = 180.0;
constexpr double kPlot = 130.0;
constexpr int kColumns = 5;

double x_of(double cnr) {
  return kPlot * std::log(cnr / kBins.front()) / std::log(kBins.back() / kBins.front());
}

}  // namespace

void FaultsAccuracy::write_plots(const std::filesystem::path& folder) const {
  std::filesystem::create_directories(folder);
  std::ofstream csv(folder / "recall.csv");
  csv << "fault,looked_for,cnr_from,cnr_to,true,seen,recall\n";
  std::ofstream svg(folder / "recall.svg");
  const int lines = static_cast<int>((rows_.size() + kColumns - 1) / kColumns);
  svg << fmt::format(
      "<svg xmlns='http://www.w3.org/2000/svg' width='{}' height='{}' font-family='sans-serif' "
      "font-size='10'>\n<rect width='100%' height='100%' fill='white'/>\n",
      kColumns * kPanel, lines * kPanel);
  int panel = 0;
  for (const auto& [id, row] : rows_) {
    const double left = 30.0 + kPanel * (panel % kColumns);
    const double top = 25.0 + kPanel * (panel / kColumns);
    ++panel;
    svg << fmt::format(
        "<g transform='translate({},{})'><rect width='{}' height='{}' fill='none' stroke='#999'/>"
        "<text y='-6'>{}{}</text><text x='-6' y='8' text-anchor='end'>1</text>"
        "<text x='-6' y='{}' text-anchor='end'>0</text>\n",
        left, top, kPlot, kPlot, id, looked_for(id) ? "" : " (not looked for)", kPlot);
    for (const double tick : {1.0, 3.0, 10.0})
      svg << fmt::format(
          "<text x='{:.1f}' y='{}' text-anchor='middle'>{}</text><line x1='{:.1f}' x2='{:.1f}' y2='{}' "
          "stroke='#ddd'/>\n",
          x_of(tick), kPlot + 12.0, tick, x_of(tick), x_of(tick), kPlot);
    std::string path;
    for (std::size_t bin = 0; bin + 1 < kBins.size(); ++bin) {
      const std::array<int, 2> seen = row.seen_of(kBins[bin], kBins[bin + 1]);
      if (seen[1] == 0) continue;
      const double recall = static_cast<double>(seen[0]) / seen[1];
      csv << fmt::format("{},{},{},{},{},{},{:.3f}\n", id, looked_for(id) ? "yes" : "no", kBins[bin],
                         kBins[bin + 1], seen[1], seen[0], recall);
      const double x = x_of(std::sqrt(kBins[bin] * kBins[bin + 1]));
      const double y = kPlot * (1.0 - recall);
      path += fmt::format("{:.1f},{:.1f} ", x, y);
      svg << fmt::format("<circle cx='{:.1f}' cy='{:.1f}' r='{:.1f}' fill='#36c'/>\n", x, y,
                         1.5 + 0.5 * std::min(4.0, std::log2(1.0 + seen[1])));
    }
    svg << fmt::format("<polyline points='{}' fill='none' stroke='#36c'/></g>\n", path);
  }
  svg << "</svg>\n";
}

}  // namespace platewise::accuracy
