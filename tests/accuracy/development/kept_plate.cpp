#include "accuracy/development/kept_plate.h"

#include <fstream>

namespace platewise::development {
namespace {

// One list of what is kept, gone through by a writer or a reader.
class Writer {
 public:
  explicit Writer(const std::filesystem::path& file) : out_(file, std::ios::binary) {}
  template <class T>
  void number(const T& value) {
    out_.write(reinterpret_cast<const char*>(&value), sizeof value);
  }
  template <class List>
  std::size_t size_of(List& list) {
    number(list.size());
    return list.size();
  }
  void text(std::string& value) {
    const std::size_t size = size_of(value);
    out_.write(value.data(), static_cast<std::streamsize>(size));
  }
  void mat(cv::Mat& value) {
    number(value.rows);
    number(value.cols);
    number(value.type());
    for (int y = 0; y < value.rows; ++y)
      out_.write(value.ptr<char>(y),
                 static_cast<std::streamsize>(value.elemSize() * static_cast<std::size_t>(value.cols)));
  }

 private:
  std::ofstream out_;
};

class Reader {
 public:
  explicit Reader(const std::filesystem::path& file) : in_(file, std::ios::binary) {}
  [[nodiscard]] bool good() const { return in_.good(); }
  template <class T>
  void number(T& value) {
    in_.read(reinterpret_cast<char*>(&value), sizeof value);
  }
  template <class List>
  std::size_t size_of(List& list) {
    std::size_t size = 0;
    number(size);
    list.resize(size);
    return size;
  }
  void text(std::string& value) {
    const std::size_t size = size_of(value);
    in_.read(value.data(), static_cast<std::streamsize>(size));
  }
  void mat(cv::Mat& value) {
    int rows = 0;
    int cols = 0;
    int type = 0;
    number(rows);
    number(cols);
    number(type);
    value.create(rows, cols, type);
    for (int y = 0; y < rows; ++y)
      in_.read(value.ptr<char>(y),
               static_cast<std::streamsize>(value.elemSize() * static_cast<std::size_t>(cols)));
  }

 private:
  std::ifstream in_;
};

template <class Archive>
void outline(Archive& archive, Polygon& polygon) {
  archive.size_of(polygon);
  for (Point& p : polygon) archive.number(p);
}

template <class Archive>
void mark(Archive& archive, heldout::TrueMark& m) {
  archive.text(m.id);
  archive.size_of(m.parts_mm);
  for (Polygon& part : m.parts_mm) outline(archive, part);
  archive.number(m.length_mm);
  archive.number(m.width_mm);
  archive.number(m.angle_deg);
  archive.number(m.contrast);
  archive.number(m.cnr);
  archive.number(m.ignored);
}

template <class Archive>
void measured(Archive& archive, DrawnPlate& plate) {
  archive.mat(plate.density.image.density);
  archive.number(plate.density.image.px_per_unit);
  archive.mat(plate.density.lowest);
  archive.mat(plate.density.highest);
  archive.mat(plate.density.colour.rgb);
  archive.number(plate.density.colour.px_per_unit);
  archive.number(plate.density.colour.photo);
  archive.number(plate.density.errors.code_u);
  for (Mask* mask : {&plate.regions.plate, &plate.regions.film, &plate.regions.bare, &plate.regions.rim,
                     &plate.regions.picture, &plate.regions.glare})
    archive.mat(mask->inside);
  Polygon area = plate.regions.image_area_units.value_or(Polygon{});
  outline(archive, area);
  if (!area.empty()) plate.regions.image_area_units = area;
  archive.number(plate.regions.covered_fraction);
  archive.size_of(plate.regions.uncovered_corners);
  for (Corner& corner : plate.regions.uncovered_corners) archive.number(corner);
  archive.number(plate.regions.grain_density);
}

template <class Archive>
void whole(Archive& archive, DrawnPlate& plate) {
  measured(archive, plate);
  archive.number(plate.truth.kind);
  archive.number(plate.truth.width_mm);
  archive.number(plate.truth.height_mm);
  archive.number(plate.truth.border_mm);
  archive.size_of(plate.truth.marks);
  for (heldout::TrueMark& m : plate.truth.marks) mark(archive, m);
  archive.mat(plate.truth.never_coated);
  archive.text(plate.truth.subject);
  archive.number(plate.truth.clean);
  archive.number(plate.truth.line_rich);
  archive.text(plate.truth.story);
}

}  // namespace

void keep_plate(const DrawnPlate& plate, const std::filesystem::path& file) {
  std::filesystem::create_directories(file.parent_path());
  Writer writer(file);
  DrawnPlate copy = plate;
  whole(writer, copy);
}

std::optional<DrawnPlate> kept_plate(const std::filesystem::path& file) {
  if (!std::filesystem::exists(file)) return std::nullopt;
  Reader reader(file);
  DrawnPlate plate;
  whole(reader, plate);
  if (!reader.good()) return std::nullopt;
  return plate;
}

}  // namespace platewise::development
