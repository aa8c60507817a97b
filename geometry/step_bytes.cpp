#include "geometry/step_bytes.hpp"

#include "geometry/step_prescan.hpp"

namespace noonshell {

namespace {

bool is_ascii(char c) {
    return static_cast<unsigned char>(c) < 0x80;
}

/// Bytes beyond ASCII that follow one another.
struct HighRun {
    std::size_t length = 0;
    std::size_t n_stray = 0;
    std::size_t n_control = 0;

    /// No language that is written in ISO 8859-1 has four such letters in a row: these are of
    /// another code page.
    bool is_foreign() const {
        constexpr std::size_t least_foreign = 4;
        return length >= least_foreign && 2 * n_stray >= length;
    }
};

HighRun run_at(std::string_view text, std::size_t from) {
    HighRun run;
    while (from + run.length < text.size() && !is_ascii(text[from + run.length])) {
        const std::size_t at = from + run.length, n = sound_utf8_at(text, at);
        if (n == 0) {
            ++run.n_stray;
            run.n_control += static_cast<unsigned char>(text[at]) < 0xA0 ? 1 : 0;
        }
        run.length += n == 0 ? 1 : n;
    }
    return run;
}

}  // namespace

StrayBytes stray_bytes(std::string_view text) {
    StrayBytes found;
    for (std::size_t i = 0; i < text.size();) {
        if (is_ascii(text[i])) {
            ++i;
            continue;
        }
        const HighRun run = run_at(text, i);
        found.n += run.is_foreign() ? run.length : run.n_stray;
        found.n_control += run.n_control;
        found.n_foreign += run.is_foreign() ? run.length : 0;
        i += run.length;
    }
    return found;
}

std::string with_visible_bytes(std::string_view text) {
    constexpr std::string_view replacement = "\xEF\xBF\xBD";
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        if (is_ascii(text[i])) {
            out += text[i++];
            continue;
        }
        const HighRun run = run_at(text, i);
        const std::size_t end = i + run.length;
        while (i < end) {
            const std::size_t n = run.is_foreign() ? 0 : sound_utf8_at(text, i);
            out += n == 0 ? replacement : text.substr(i, n);
            i += n == 0 ? 1 : n;
        }
    }
    return out;
}

}  // namespace noonshell
