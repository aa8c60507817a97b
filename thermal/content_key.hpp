// A key that stands for what went into it.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace noonshell {

/// SHA-256 of bytes, [fips180] (its constants are worked out from the primes it names).
class ContentKey {
  public:
    ContentKey();
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
    void take_block(const std::byte* block);

    std::array<std::uint32_t, 8> state_;
    std::array<std::byte, 64> waiting_{};
    std::size_t n_waiting_ = 0;
    std::uint64_t n_bytes_ = 0;
};

}  // namespace noonshell
