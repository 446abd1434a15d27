#include "platewise/write/write_picture.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace platewise {
namespace {

cv::Mat ramp(int type) {
  cv::Mat picture(7, 11, type);
  for (int row = 0; row < picture.rows; ++row) {
    for (int byte = 0; byte < static_cast<int>(picture.cols * picture.elemSize()); ++byte) {
      picture.ptr(row)[byte] = static_cast<unsigned char>(byte * 5 + row);
    }
  }
  return picture;
}

// First bytes of the three formats: TIFF 6.0 (little endian), PNG (ISO/IEC 15948), JPEG (ISO/IEC 10918-1).
TEST(EncodedPicture, StartsWithTheBytesOfItsFormat) {
  const std::pair<PictureContainer, std::string> kStarts[] = {{PictureContainer::tiff, "II*"},
                                                              {PictureContainer::png, "\x89PNG"},
                                                              {PictureContainer::jpeg, "\xff\xd8\xff"}};
  for (const auto& [container, start] : kStarts) {
    PictureFormat format;
    format.container = container;
    const auto bytes = encoded_picture(ramp(CV_8UC3), format);
    ASSERT_TRUE(bytes) << bytes.error().message();
    EXPECT_EQ(bytes->substr(0, start.size()), start);
  }
}

TEST(EncodedPicture, IsTheSameEveryTime) {
  PictureFormat format;
  format.profile = EmbeddedProfile::grey_gamma_22;
  format.dpi = 600.0;
  EXPECT_EQ(*encoded_picture(ramp(CV_16UC1), format), *encoded_picture(ramp(CV_16UC1), format));
}

TEST(EncodedPicture, RefusesWhatAFormatCannotHold) {
  PictureFormat jpeg;
  jpeg.container = PictureContainer::jpeg;
  EXPECT_FALSE(encoded_picture(ramp(CV_16UC1), jpeg));
  EXPECT_FALSE(encoded_picture(cv::Mat(), {}));
  EXPECT_FALSE(encoded_picture(cv::Mat::zeros(3, 3, CV_32FC1), {}));
}

// ICC.1: the signature "acsp" lies at byte 36, the colour space at byte 16.
TEST(IccProfile, IsAProfileOfItsColourSpace) {
  EXPECT_EQ(icc_profile_bytes(EmbeddedProfile::srgb).substr(36, 4), "acsp");
  EXPECT_EQ(icc_profile_bytes(EmbeddedProfile::srgb).substr(16, 4), "RGB ");
  EXPECT_EQ(icc_profile_bytes(EmbeddedProfile::grey_gamma_22).substr(16, 4), "GRAY");
  EXPECT_TRUE(icc_profile_bytes(EmbeddedProfile::none).empty());
}

}  // namespace
}  // namespace platewise
