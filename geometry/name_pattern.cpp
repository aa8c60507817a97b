// Name patterns of the site file: '*' and '?'.
#include "geometry/plain_text.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

namespace {

bool continues_code_point(char c) {
    return (static_cast<unsigned char>(c) & 0xC0u) == 0x80u;
}

}  // namespace

bool matches_pattern(std::string_view pattern, std::string_view text) {
    // Greedy match with one point to go back to: the last '*' and what it has taken so far.
    std::size_t p = 0, t = 0;
    std::size_t star = pattern.npos, taken = 0;
    while (t < text.size()) {
        if (p < pattern.size() && pattern[p] == '*') {
            star = p++;
            taken = t;
        } else if (p < pattern.size() && pattern[p] == '?') {
            ++p;
            do ++t;
            while (t < text.size() && continues_code_point(text[t]));
        } else if (p < pattern.size() && lower(pattern[p]) == lower(text[t])) {
            ++p;
            ++t;
        } else if (star != pattern.npos) {
            p = star + 1;
            do ++taken;
            while (taken < text.size() && continues_code_point(text[taken]));
            t = taken;
        } else {
            return false;
        }
    }
    while (p < pattern.size() && pattern[p] == '*') ++p;
    return p == pattern.size();
}

}  // namespace noonshell
