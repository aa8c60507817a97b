#include "cli/svg.hpp"

#include <fmt/format.h>

#include "cli/utf8.hpp"

namespace noonshell {

std::string xml_text(std::string_view text) {
    const std::string safe = printable(text);
    std::string escaped;
    for (std::size_t i = 0; i < safe.size(); ++i) {
        // U+FFFE and U+FFFF are no characters of XML 1.0.
        const std::string_view rest = std::string_view(safe).substr(i, 3);
        if (rest == "\xEF\xBF\xBE" || rest == "\xEF\xBF\xBF") {
            escaped += "\xEF\xBF\xBD";
            i += 2;
            continue;
        }
        switch (safe[i]) {
            case '&':
                escaped += "&amp;";
                break;
            case '<':
                escaped += "&lt;";
                break;
            case '>':
                escaped += "&gt;";
                break;
            case '"':
                escaped += "&quot;";
                break;
            default:
                escaped += safe[i];
        }
    }
    return escaped;
}

std::string svg_number(double value) {
    std::string text = fmt::format("{:.2f}", value);
    while (text.back() == '0') text.pop_back();
    if (text.back() == '.') text.pop_back();
    return text == "-0" ? "0" : text;
}

SvgPage::SvgPage(double width, double height, std::string_view title,
                 std::string_view description) {
    head_ = fmt::format(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{0}\" height=\"{1}\" "
        "viewBox=\"0 0 {0} {1}\" font-family=\"Helvetica, Arial, sans-serif\">\n"
        "<title>{2}</title>\n<desc>{3}</desc>\n",
        svg_number(width), svg_number(height), xml_text(title), xml_text(description));
    rectangle(0, 0, width, height, fmt::format("fill=\"{}\"", picture_colour::paper));
}

void SvgPage::open(std::string_view attributes, std::string_view title) {
    body_ += attributes.empty() ? "<g>" : fmt::format("<g {}>", attributes);
    if (!title.empty()) body_ += fmt::format("<title>{}</title>", xml_text(title));
    body_ += '\n';
}

void SvgPage::close() {
    body_ += "</g>\n";
}

void SvgPage::rectangle(double x, double y, double width, double height,
                        std::string_view attributes) {
    add(fmt::format(R"(<rect x="{}" y="{}" width="{}" height="{}" {}/>)", svg_number(x),
                    svg_number(y), svg_number(width), svg_number(height), attributes));
}

void SvgPage::line(double x1, double y1, double x2, double y2, std::string_view attributes) {
    add(fmt::format(R"(<line x1="{}" y1="{}" x2="{}" y2="{}" {}/>)", svg_number(x1), svg_number(y1),
                    svg_number(x2), svg_number(y2), attributes));
}

void SvgPage::text(double x, double y, std::string_view text, const SvgText& style) {
    add(fmt::format(R"(<text x="{}" y="{}" font-size="{}"{}{} fill="{}">{}</text>)", svg_number(x),
                    svg_number(y), svg_number(style.size),
                    std::string_view(style.anchor) == "start"
                        ? ""
                        : fmt::format(R"( text-anchor="{}")", style.anchor),
                    style.bold ? R"( font-weight="bold")" : "", style.fill, xml_text(text)));
}

std::string SvgPage::document() const {
    return head_ + body_ + "</svg>\n";
}

std::string closed_path(const std::vector<Vec2>& places) {
    std::string d;
    for (const Vec2& place : places) {
        d += d.empty() ? 'M' : 'L';
        d += svg_number(place.x()) + ' ' + svg_number(place.y());
    }
    return d + 'Z';
}

}  // namespace noonshell
