// A key that stands for what went into it.
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

struct evp_md_ctx_st;  // of OpenSSL

namespace noonshell {

/// SHA-256 ([fips180]) of bytes.
class ContentKey {
  public:
    ContentKey();
    ContentKey(const ContentKey& other);
    ContentKey& operator=(const ContentKey& other);
    ContentKey(ContentKey&&) noexcept = default;
    ContentKey& operator=(ContentKey&&) noexcept = default;
    ~ContentKey() = default;

    void add_bytes(std::span<const std::byte> bytes);

    template <class T>
    requires std::is_arithmetic_v<T> || std::is_enum_v<T>
    void add(T value) { add_bytes(std::as_bytes(std::span(&value, 1))); }
    /// With its length: two texts never run into each other.
    void add(std::string_view text);
    template <class T>
    requires std::is_arithmetic_v<T>
    void add(const std::vector<T>& values) {
        add(values.size());
        add_bytes(std::as_bytes(std::span(values)));
    }
    /// 64 hexadecimal digits of all that was added; more may be added afterwards.
    std::string hex() const;

  private:
    struct End {
        void operator()(evp_md_ctx_st* digest) const;
    };
    std::unique_ptr<evp_md_ctx_st, End> digest_;
};

}  // namespace noonshell
