#include "geometry/step_bytes.hpp"

#include "geometry/step_prescan.hpp"

namespace noonshell {

StrayBytes stray_bytes(std::string_view text) {
    StrayBytes found;
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t n = sound_utf8_at(text, i);
        if (n == 0) {
            ++found.n;
            found.n_control += static_cast<unsigned char>(text[i]) < 0xA0 ? 1 : 0;
        }
        i += n == 0 ? 1 : n;
    }
    return found;
}

std::string with_visible_bytes(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t n = sound_utf8_at(text, i);
        if (n == 0) {
            out += "\xEF\xBF\xBD";
            ++i;
        } else {
            out += text.substr(i, n);
            i += n;
        }
    }
    return out;
}

}  // namespace noonshell
