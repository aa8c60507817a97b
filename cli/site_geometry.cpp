#include <array>
#include <cctype>
#include <utility>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 4> unit_keys = {"name", "bodies", "floor_area_m2",
                                                       "volume_m3"};
constexpr std::array<std::string_view, 3> surface_keys = {"name", "faces", "colours"};

/// "#rrggbb" as red, green and blue from 0 to 1.
std::optional<Rgb> colour_from(const std::string& text) {
    if (text.size() != 7 || text[0] != '#') return std::nullopt;
    Rgb colour{};
    for (std::size_t k = 0; k < 3; ++k) {
        int value = 0;
        for (std::size_t d = 0; d < 2; ++d) {
            const auto c = static_cast<unsigned char>(text[1 + 2 * k + d]);
            if (std::isxdigit(c) == 0) return std::nullopt;
            const int digit = std::isdigit(c) != 0 ? c - '0' : std::tolower(c) - 'a' + 10;
            value = 16 * value + digit;
        }
        colour[k] = static_cast<float>(value) / 255;
    }
    return colour;
}

void require_plain_name(const TomlTable& table, const std::string& name) {
    if (name.find_first_of("/*?") != std::string::npos)
        throw table.error("name", "a name without / * ?", "\"" + name + "\"");
}

}  // namespace

std::vector<Rgb> read_colours(SettingsReader& reader, std::string_view key) {
    std::vector<Rgb> colours;
    for (const std::string& text : reader.texts(key, {}, "none")) {
        const auto colour = colour_from(text);
        if (!colour)
            throw reader.table()->error(key, "colours such as \"#87ceeb\"", "\"" + text + "\"");
        colours.push_back(*colour);
    }
    return colours;
}

void read_units(const TomlTable& root, std::vector<InputRecord>& inputs, ModelSettings& model) {
    for (const TomlTable& table : root.tables("unit", unit_keys)) {
        SettingsReader reader(table, table.path(), inputs);
        const std::string name = reader.needed_text("name");
        UnitFigure figure{name, {}, {}};
        figure.floor_area_m2 = reader.number("floor_area_m2", NumberRange::above_up_to(0, 1e6));
        figure.volume_m3 = reader.number("volume_m3", NumberRange::above_up_to(0, 1e7));
        const auto bodies = reader.texts("bodies", {}, "none: the unit is made up elsewhere");
        if (!bodies.empty()) {
            require_plain_name(table, name);
            for (const NamedUnit& other : model.patterns.named_units) {
                if (other.name == name)
                    throw table.error("name", "a name not used before", "\"" + name + "\" again");
            }
            model.patterns.named_units.push_back({name, bodies});
        } else if (!figure.floor_area_m2 && !figure.volume_m3) {
            throw table.missing("bodies", "bodies, floor_area_m2 or volume_m3");
        }
        if (figure.floor_area_m2 || figure.volume_m3) {
            model.envelope.unit_figures.push_back(std::move(figure));
        }
    }
}

void read_own_surfaces(const TomlTable& root, std::vector<InputRecord>& inputs,
                       ModelSettings& model) {
    for (const TomlTable& table : root.tables("surface", surface_keys)) {
        SettingsReader reader(table, table.path(), inputs);
        OwnSurface own;
        own.name = reader.needed_text("name");
        require_plain_name(table, own.name);
        own.faces = reader.texts("faces", {}, "none");
        own.colours = read_colours(reader, "colours");
        if (own.faces.empty() && own.colours.empty())
            throw table.missing("faces", "name patterns in faces, or colours");
        model.envelope.apart.surfaces.push_back(std::move(own));
    }
}

}  // namespace noonshell
