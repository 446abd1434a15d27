#include <lcms2.h>

#include <algorithm>
#include <memory>
#include <string>

#include "platewise/write/write_picture.h"

namespace platewise {
namespace {

struct CloseProfile {
  void operator()(void* profile) const { cmsCloseProfile(profile); }
};
using Profile = std::unique_ptr<void, CloseProfile>;

void describe(const Profile& profile, const char* description) {
  cmsMLU* text = cmsMLUalloc(nullptr, 1);
  cmsMLUsetASCII(text, "en", "US", description);
  cmsWriteTag(profile.get(), cmsSigProfileDescriptionTag, text);
  cmsMLUfree(text);
}

Profile grey_profile(double gamma) {
  cmsToneCurve* curve = cmsBuildGamma(nullptr, gamma);
  Profile profile(cmsCreateGrayProfile(cmsD50_xyY(), curve));
  cmsFreeToneCurve(curve);
  describe(profile, "Grey gamma 2.2");
  return profile;
}

// ICC.1 header: creation date and time lie in bytes 24..35. A fixed date keeps the bytes the same every run.
void set_fixed_date(std::string& bytes) {
  constexpr char kFirstOfJanuary2000[] = {0x07, static_cast<char>(0xd0), 0, 1, 0, 1, 0, 0, 0, 0, 0, 0};
  constexpr std::size_t kDateOffset = 24;
  std::copy(std::begin(kFirstOfJanuary2000), std::end(kFirstOfJanuary2000), bytes.begin() + kDateOffset);
}

std::string serialised(const Profile& profile) {
  constexpr double kVersionEveryProgramReads = 2.1;
  cmsSetProfileVersion(profile.get(), kVersionEveryProgramReads);
  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile.get(), nullptr, &size);
  std::string bytes(size, '\0');
  cmsSaveProfileToMem(profile.get(), bytes.data(), &size);
  set_fixed_date(bytes);
  return bytes;
}

}  // namespace

std::string icc_profile_bytes(EmbeddedProfile profile) {
  switch (profile) {
    case EmbeddedProfile::none:
      return {};
    case EmbeddedProfile::srgb:
      return serialised(Profile(cmsCreate_sRGBProfile()));
    case EmbeddedProfile::grey_gamma_22:
      return serialised(grey_profile(2.2));
  }
  return {};
}

}  // namespace platewise
