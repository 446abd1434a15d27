#pragma once

#include <lcms2.h>

#include <array>
#include <string>

namespace platewise {

// ICC profiles put together for the tests, as a scanner's or editing program's profile would be.
using Column = std::array<double, 3>;

inline std::string saved_and_closed(cmsHPROFILE profile) {
  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile, nullptr, &size);
  std::string bytes(size, '\0');
  cmsSaveProfileToMem(profile, bytes.data(), &size);
  cmsCloseProfile(profile);
  return bytes;
}

inline cmsHPROFILE empty_profile(cmsColorSpaceSignature pcs, double version) {
  cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
  cmsSetProfileVersion(profile, version);
  cmsSetDeviceClass(profile, cmsSigInputClass);
  cmsSetColorSpace(profile, cmsSigRgbData);
  cmsSetPCS(profile, pcs);
  return profile;
}

inline std::string matrix_profile(const std::array<Column, 3>& columns, cmsToneCurve* curve) {
  cmsHPROFILE profile = empty_profile(cmsSigXYZData, 4.2);
  constexpr cmsTagSignature kColumns[] = {cmsSigRedColorantTag, cmsSigGreenColorantTag,
                                          cmsSigBlueColorantTag};
  for (std::size_t i = 0; i < 3; ++i) {
    const cmsCIEXYZ xyz{columns[i][0], columns[i][1], columns[i][2]};
    cmsWriteTag(profile, kColumns[i], &xyz);
  }
  for (const auto tag : {cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag}) {
    cmsWriteTag(profile, tag, curve);
  }
  return saved_and_closed(profile);
}

// sRGB as a table of 33 x 33 x 33 Lab values instead of curves and a matrix.
inline std::string table_profile() {
  cmsHPROFILE srgb = cmsCreate_sRGBProfile();
  cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
  cmsHTRANSFORM to_lab = cmsCreateTransform(srgb, TYPE_RGB_16, lab, TYPE_LabV2_16,
                                            INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
  cmsStage* table = cmsStageAllocCLut16bit(nullptr, 33, 3, 3, nullptr);
  cmsStageSampleCLut16bit(
      table,
      [](const cmsUInt16Number in[], cmsUInt16Number out[], void* transform) {
        cmsDoTransform(transform, in, out, 1);
        return 1;
      },
      to_lab, 0);
  cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
  cmsPipelineInsertStage(pipeline, cmsAT_BEGIN, table);
  cmsHPROFILE profile = empty_profile(cmsSigLabData, 2.4);
  cmsWriteTag(profile, cmsSigAToB0Tag, pipeline);
  cmsPipelineFree(pipeline);
  cmsDeleteTransform(to_lab);
  cmsCloseProfile(srgb);
  cmsCloseProfile(lab);
  return saved_and_closed(profile);
}

}  // namespace platewise
