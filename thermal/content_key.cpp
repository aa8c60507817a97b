#include "thermal/content_key.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

namespace noonshell {

namespace {

constexpr std::size_t rounds = 64, words_of_state = 8;

std::array<long double, rounds> first_primes() {
    std::array<long double, rounds> primes{};
    std::size_t found = 0;
    for (int candidate = 2; found < rounds; ++candidate) {
        bool is_prime = true;
        for (int d = 2; d * d <= candidate; ++d) is_prime = is_prime && candidate % d != 0;
        if (is_prime) primes[found++] = candidate;
    }
    return primes;
}

/// The first 32 bits behind the point.
std::uint32_t fraction_bits(long double value) {
    constexpr long double two_to_32 = 4294967296.0L;
    return static_cast<std::uint32_t>((value - std::floor(value)) * two_to_32);
}

/// [fips180] 4.2.2: of the cube roots of the first 64 primes.
std::array<std::uint32_t, rounds> round_constants() {
    std::array<std::uint32_t, rounds> constants{};
    const auto primes = first_primes();
    for (std::size_t i = 0; i < rounds; ++i) constants[i] = fraction_bits(std::cbrt(primes[i]));
    return constants;
}

/// [fips180] 5.3.3: of the square roots of the first eight.
std::array<std::uint32_t, words_of_state> first_state() {
    std::array<std::uint32_t, words_of_state> state{};
    const auto primes = first_primes();
    for (std::size_t i = 0; i < words_of_state; ++i) state[i] = fraction_bits(std::sqrt(primes[i]));
    return state;
}

}  // namespace

ContentKey::ContentKey() : state_(first_state()) {}

// [fips180] 6.2.2
void ContentKey::take_block(const std::byte* block) {
    static const std::array<std::uint32_t, rounds> constants = round_constants();
    std::array<std::uint32_t, rounds> w{};
    for (std::size_t i = 0; i < waiting_.size(); ++i)
        w[i / 4] = (w[i / 4] << 8U) | std::to_integer<std::uint32_t>(block[i]);
    for (std::size_t i = 16; i < rounds; ++i) {
        const std::uint32_t s0 =
            std::rotr(w[i - 15], 7) ^ std::rotr(w[i - 15], 18) ^ (w[i - 15] >> 3U);
        const std::uint32_t s1 =
            std::rotr(w[i - 2], 17) ^ std::rotr(w[i - 2], 19) ^ (w[i - 2] >> 10U);
        w[i] = w[i - 16] + s0 + w[i - 7] + s1;
    }
    auto [a, b, c, d, e, f, g, h] = state_;
    for (std::size_t i = 0; i < rounds; ++i) {
        const std::uint32_t s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
        const std::uint32_t t1 = h + s1 + ((e & f) ^ (~e & g)) + constants[i] + w[i];
        const std::uint32_t s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
        const std::uint32_t t2 = s0 + ((a & b) ^ (a & c) ^ (b & c));
        h = g;
        g = f;
        f = e;
        e = d + t1;
        d = c;
        c = b;
        b = a;
        a = t1 + t2;
    }
    const std::array<std::uint32_t, words_of_state> mixed = {a, b, c, d, e, f, g, h};
    for (std::size_t i = 0; i < words_of_state; ++i) state_[i] += mixed[i];
}

void ContentKey::add_bytes(std::span<const std::byte> bytes) {
    n_bytes_ += bytes.size();
    while (!bytes.empty()) {
        if (n_waiting_ == 0 && bytes.size() >= waiting_.size()) {
            take_block(bytes.data());
            bytes = bytes.subspan(waiting_.size());
            continue;
        }
        const std::size_t n = std::min(bytes.size(), waiting_.size() - n_waiting_);
        std::copy_n(bytes.begin(), n, waiting_.begin() + static_cast<std::ptrdiff_t>(n_waiting_));
        n_waiting_ += n;
        bytes = bytes.subspan(n);
        if (n_waiting_ < waiting_.size()) return;
        take_block(waiting_.data());
        n_waiting_ = 0;
    }
}

void ContentKey::add(std::string_view text) {
    add(text.size());
    add_bytes(std::as_bytes(std::span(text)));
}

std::string ContentKey::hex() const {
    ContentKey ended = *this;
    const std::uint64_t bits = 8 * n_bytes_;
    // One bit, zeros, and the length in the last eight bytes, [fips180] 5.1.1.
    constexpr std::byte one_bit{0x80};
    ended.add_bytes(std::span(&one_bit, 1));
    constexpr std::byte zero{0};
    while (ended.n_waiting_ != waiting_.size() - sizeof(bits)) ended.add_bytes(std::span(&zero, 1));
    for (int shift = 56; shift >= 0; shift -= 8) {
        const auto byte = static_cast<std::byte>(bits >> static_cast<unsigned>(shift));
        ended.add_bytes(std::span(&byte, 1));
    }
    std::string text;
    for (const std::uint32_t word : ended.state_) {
        for (int shift = 28; shift >= 0; shift -= 4)
            text += "0123456789abcdef"[(word >> static_cast<unsigned>(shift)) & 15U];
    }
    return text;
}

}  // namespace noonshell
