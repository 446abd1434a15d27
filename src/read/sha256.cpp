#include "platewise/read/sha256.h"

#include <openssl/evp.h>

#include <array>
#include <fstream>
#include <memory>
#include <vector>

namespace platewise {
namespace {

struct FreeDigest {
  void operator()(EVP_MD_CTX* digest) const { EVP_MD_CTX_free(digest); }
};

std::string hex(const unsigned char* bytes, unsigned int count) {
  constexpr char kDigits[] = "0123456789abcdef";
  std::string text;
  for (unsigned int i = 0; i < count; ++i) {
    text += kDigits[bytes[i] >> 4];
    text += kDigits[bytes[i] & 15];
  }
  return text;
}

}  // namespace

std::string sha256_of_file(const std::filesystem::path& path) {
  constexpr std::size_t kBlockBytes = 1 << 18;
  const std::unique_ptr<EVP_MD_CTX, FreeDigest> digest(EVP_MD_CTX_new());
  std::ifstream file(path, std::ios::binary);
  if (!file || !digest || EVP_DigestInit_ex(digest.get(), EVP_sha256(), nullptr) != 1) return {};
  std::vector<char> block(kBlockBytes);
  while (file.read(block.data(), static_cast<std::streamsize>(block.size())) || file.gcount() > 0) {
    EVP_DigestUpdate(digest.get(), block.data(), static_cast<std::size_t>(file.gcount()));
  }
  if (!file.eof()) return {};
  std::array<unsigned char, EVP_MAX_MD_SIZE> sum{};
  unsigned int size = 0;
  EVP_DigestFinal_ex(digest.get(), sum.data(), &size);
  return hex(sum.data(), size);
}

std::string sha256_of_bytes(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> sum{};
  unsigned int size = 0;
  EVP_Digest(bytes.data(), bytes.size(), sum.data(), &size, EVP_sha256(), nullptr);
  return hex(sum.data(), size);
}

}  // namespace platewise
