#include "geometry/model_bytes.hpp"

#include <cstring>
#include <type_traits>

namespace noonshell {

namespace {

template <class T>
concept Number = std::is_arithmetic_v<T>;

/// Appends fields to bytes. Reader below takes them off again in the same order; fields() says for
/// each type what that order is, once for both.
class Writer {
  public:
    static constexpr bool writes = true;
    std::string bytes;

    void raw(const void* data, std::size_t n) { bytes.append(static_cast<const char*>(data), n); }
    void text(const std::string& value) {
        size(value.size());
        raw(value.data(), value.size());
    }
    std::size_t size(std::size_t n) {
        raw(&n, sizeof n);
        return n;
    }
};

class Reader {
  public:
    static constexpr bool writes = false;
    std::string_view bytes;

    void raw(void* data, std::size_t n) {
        NOONSHELL_CHECK_LE(n, bytes.size());
        std::memcpy(data, bytes.data(), n);
        bytes.remove_prefix(n);
    }
    void text(std::string& value) {
        const std::size_t n = size(0);
        NOONSHELL_CHECK_LE(n, bytes.size());
        value.assign(bytes.substr(0, n));
        bytes.remove_prefix(n);
    }
    std::size_t size(std::size_t) {
        std::size_t n = 0;
        raw(&n, sizeof n);
        return n;
    }
};

template <class Io, Number T>
void field(Io& io, T& value) {
    io.raw(&value, sizeof value);
}
template <class Io>
void field(Io& io, std::string& value) {
    io.text(value);
}
template <class Io>
void field(Io& io, Vec3& value) {
    io.raw(value.data(), 3 * sizeof(double));
}
template <class Io, class Tag>
void field(Io& io, Id<Tag>& id) {
    field(io, id.value);
}
template <class Io, class T, std::size_t n>
void field(Io& io, std::array<T, n>& values) {
    io.raw(values.data(), sizeof values);
}

template <class Io>
void field(Io& io, std::optional<Rgb>& colour) {
    bool present = colour.has_value();
    field(io, present);
    if (!present) return;
    if (!colour) colour.emplace();
    field(io, *colour);
}

template <class Io, class... Fields>
void fields(Io& io, Fields&... values) {
    (field(io, values), ...);
}

template <class Io>
void field(Io& io, Warning& x) {
    fields(io, x.code, x.text, x.where);
}
template <class Io>
void field(Io& io, LeftOut& x) {
    fields(io, x.entity, x.name, x.reason, x.area_m2, x.is_double, x.area_known, x.body, x.count);
}
template <class Io>
void field(Io& io, Face& x) {
    fields(io, x.body, x.area_m2, x.planar, x.first_triangle, x.n_triangles, x.step_entity, x.name,
           x.colour);
}

template <class Io, class T>
void list(Io& io, std::vector<T>& values) {
    const std::size_t n = io.size(values.size());
    if constexpr (!Io::writes) {
        // Each entry takes at least a byte; a wrong length must not ask for all memory.
        NOONSHELL_CHECK_LE(n, io.bytes.size());
        values.resize(n);
    }
    for (T& value : values) field(io, value);
}

template <class Io>
void field(Io& io, Assembly& x) {
    fields(io, x.id, x.name, x.path, x.parent);
}
template <class Io>
void field(Io& io, Body& x) {
    fields(io, x.id, x.name, x.path, x.assembly, x.part, x.colour, x.solid, x.area_m2, x.volume_m3,
           x.first_face, x.n_faces, x.step_entity);
    list(io, x.repaired);
}
template <class Io>
void field(Io& io, Model& x) {
    fields(io, x.file, x.schema, x.length_unit, x.up, x.bbox_m, x.lost_area_share);
    list(io, x.assemblies);
    list(io, x.bodies);
    list(io, x.faces);
    list(io, x.mesh.vertices_m);
    list(io, x.mesh.triangles);
    list(io, x.mesh.triangle_face);
    list(io, x.left_out);
    list(io, x.warnings);
}

}  // namespace

std::string to_bytes(const Model& model) {
    Writer writer;
    Model copy = model;
    field(writer, copy);
    return std::move(writer.bytes);
}

Model model_from_bytes(std::string_view bytes) {
    Reader reader{bytes};
    Model model;
    field(reader, model);
    NOONSHELL_CHECK_EQ(reader.bytes.size(), std::size_t{0});
    return model;
}

std::string to_bytes(const InputError& error) {
    Writer writer;
    writer.text(error.place().file);
    writer.text(error.place().entity);
    writer.text(error.expected());
    writer.text(error.seen());
    return std::move(writer.bytes);
}

InputError input_error_from_bytes(std::string_view bytes) {
    Reader reader{bytes};
    InputPlace place;
    std::string expected, seen;
    fields(reader, place.file, place.entity, expected, seen);
    return {std::move(place), std::move(expected), std::move(seen)};
}

}  // namespace noonshell
