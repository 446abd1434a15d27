#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "platewise/core/result.h"

namespace platewise::json {

// A JSON document from text, whatever the text is; a Problem naming `where` when it is none.
[[nodiscard]] Result<nlohmann::json> parsed(std::string_view text, const std::string& where);

// The text of an ordinary file of at most 16 MB.
[[nodiscard]] Result<std::string> text_of_file(const std::filesystem::path& path);

}  // namespace platewise::json
