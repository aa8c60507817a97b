// Letters, figures and counts in sentences.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace noonshell {

/// ASCII letters only.
inline char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

/// "1 curve", "2 curves"; `many` where an s does not do: "1 body", "2 bodies".
std::string counted(std::size_t n, std::string_view one, std::string_view many = {});

/// Three significant digits, whole numbers from 1000 to 1e7, powers of ten beyond and below 1e-4:
/// "0.152", "86.1", "56549", "5.65e+10".
std::string plain_figure(double value);

}  // namespace noonshell
