#pragma once

#include <filesystem>

namespace platewise {

// True when a JPEG file carries its end-of-image marker (ITU-T T.81, B.1.1.3: FF D9) after its first scan.
// The decoder reports a missing end only as a warning from another thread, which can come too late. Files
// that do not look like JPEG count as whole: the decoder will say what is wrong with them.
[[nodiscard]] bool jpeg_has_its_end(const std::filesystem::path& path);

// The same for a PNG file: its closing IEND chunk (ISO/IEC 15948, 11.2.5) is there.
[[nodiscard]] bool png_has_its_end(const std::filesystem::path& path);

}  // namespace platewise
