// Pictures as SVG 1.1: a page of lines, areas and text, small and without scripts or style sheets.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/plane_region.hpp"

namespace noonshell {

/// Text from the user's files as it may stand between tags or in an attribute.
std::string xml_text(std::string_view text);

/// A coordinate with at most two decimals.
std::string svg_number(double value);

/// Colours of all pictures but for results.
namespace picture_colour {
inline constexpr const char *ink = "#22201c", *quiet = "#5c564c", *rule = "#aaa294",
                            *paper = "#ffffff";
}  // namespace picture_colour

struct SvgText {
    double size = 11;
    const char* anchor = "start";  ///< or "middle", "end"
    bool bold = false;
    const char* fill = picture_colour::ink;
};

/// Built from back to front. Lengths are units of the page, y down.
class SvgPage {
  public:
    /// `title` and `description` are told by readers in place of the picture.
    SvgPage(double width, double height, std::string_view title, std::string_view description);

    /// A group with the same attributes for all in it, such as `stroke="#000"`; with a title it
    /// says what it is when pointed at.
    void open(std::string_view attributes, std::string_view title = {});
    void close();

    void add(std::string_view element) { body_.append(element).append("\n"); }
    void rectangle(double x, double y, double width, double height, std::string_view attributes);
    void line(double x1, double y1, double x2, double y2, std::string_view attributes);
    void text(double x, double y, std::string_view text, const SvgText& style = {});

    /// The whole file.
    std::string document() const;

  private:
    std::string head_, body_;
};

/// The `d` of a path through the places given, closed.
std::string closed_path(const std::vector<Vec2>& places);

}  // namespace noonshell
