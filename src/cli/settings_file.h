#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/core/result.h"
#include "platewise/locate/locate_plate.h"
#include "platewise/recommend/recommend.h"

namespace platewise::cli {

// What the photographer wrote down of one plate.
struct NotedPlate {
  PlateSettings settings;
  std::optional<PlateKind> kind;
  std::optional<PlateSizeMm> plate_size;
  std::string note;
};

// A list of settings by file name: CSV with the columns file, exposure_s, development_s, aperture, meter_ev,
// temperature_c, bellows, reciprocity, kind, plate_size, note, of which only `file` must be there; other
// columns are left alone, empty cells are "not noted". Fails with a Problem naming the list and its line.
class SettingsList {
 public:
  [[nodiscard]] static Result<SettingsList> read(const std::filesystem::path& path);
  [[nodiscard]] static Result<SettingsList> parse(std::string_view text, const std::string& where);

  // By the path as given, else by the file's name alone; null when it is not in the list.
  [[nodiscard]] const NotedPlate* find(const std::filesystem::path& scan) const;

 private:
  std::map<std::string, NotedPlate> by_file_;
};

}  // namespace platewise::cli
