#include "thermal/content_key.hpp"

#include <openssl/evp.h>

#include <array>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// OpenSSL says 1 where all is well; it fails only for want of memory or of the algorithm.
void require_done(int answer) {
    NOONSHELL_CHECK_EQ(answer, 1);
}

}  // namespace

void ContentKey::End::operator()(evp_md_ctx_st* digest) const {
    EVP_MD_CTX_free(digest);
}

ContentKey::ContentKey() : digest_(EVP_MD_CTX_new()) {
    require_done(EVP_DigestInit_ex(digest_.get(), EVP_sha256(), nullptr));
}

ContentKey::ContentKey(const ContentKey& other) : digest_(EVP_MD_CTX_new()) {
    require_done(EVP_MD_CTX_copy_ex(digest_.get(), other.digest_.get()));
}

ContentKey& ContentKey::operator=(const ContentKey& other) {
    if (this != &other) *this = ContentKey(other);
    return *this;
}

void ContentKey::add_bytes(std::span<const std::byte> bytes) {
    require_done(EVP_DigestUpdate(digest_.get(), bytes.data(), bytes.size()));
}

void ContentKey::add(std::string_view text) {
    add(text.size());
    add_bytes(std::as_bytes(std::span(text)));
}

std::string ContentKey::hex() const {
    const ContentKey ended = *this;
    std::array<unsigned char, EVP_MAX_MD_SIZE> bytes{};
    unsigned int size = 0;
    require_done(EVP_DigestFinal_ex(ended.digest_.get(), bytes.data(), &size));
    std::string text;
    for (const unsigned char byte : std::span(bytes).first(size)) {
        text += "0123456789abcdef"[byte >> 4U];
        text += "0123456789abcdef"[byte & 15U];
    }
    return text;
}

}  // namespace noonshell
