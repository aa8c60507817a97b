#include "solar/weather_grid_bytes.hpp"

#include <cstring>
#include <exception>
#include <stdexcept>
#include <type_traits>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/model_bytes.hpp"

namespace noonshell {

namespace {

enum class Outcome : char { grid = 'g', input_error = 'i', other = 'o' };

/// Appends fields to bytes; ByteReader takes them off again in the same order.
struct Writer {
    std::string bytes;

    template <class T>
    requires std::is_trivially_copyable_v<T>
    void operator()(T& value) { bytes.append(reinterpret_cast<const char*>(&value), sizeof value); }
    template <class List>
    requires requires(List list) {
        list.data();
        list.resize(1);
    }
    void operator()(List& list) {
        std::size_t n = list.size();
        (*this)(n);
        bytes.append(reinterpret_cast<const char*>(list.data()), n * sizeof *list.data());
    }
};

struct ByteReader {
    std::string_view bytes;

    void take(void* to, std::size_t n) {
        NOONSHELL_CHECK_LE(n, bytes.size());
        if (n > 0) std::memcpy(to, bytes.data(), n);
        bytes.remove_prefix(n);
    }
    template <class T>
    requires std::is_trivially_copyable_v<T>
    void operator()(T& value) { take(&value, sizeof value); }
    template <class List>
    requires requires(List list) {
        list.data();
        list.resize(1);
    }
    void operator()(List& list) {
        std::size_t n = 0;
        (*this)(n);
        NOONSHELL_CHECK_LE(n, bytes.size() / sizeof *list.data());
        list.resize(n);
        take(list.data(), n * sizeof *list.data());
    }
};

template <class Io>
void pass(Io& io, std::optional<StampReading>& stamps) {
    bool there = stamps.has_value();
    io(there);
    if (!there) return;
    if (!stamps) stamps.emplace();
    io(stamps->key);
    io(stamps->at);
    io(stamps->interval_s);
}

template <class Io>
void pass(Io& io, WeatherSeries& series) {
    io(series.values);
    io(series.is_mean);
    io(series.instant_s);
}

/// All fields in one order for both ways.
template <class Io>
void pass(Io& io, WeatherGrid& grid) {
    WeatherSamples& samples = grid.samples;
    io(samples.file);
    io(samples.source);
    io(samples.interval_s);
    io(samples.clock_offset);
    io(samples.begin_utc);
    pass(io, samples.stamps);
    for (WeatherSeries& series : samples.series) pass(io, series);
    pass(io, grid.wind_east);
    pass(io, grid.wind_north);
    io(grid.latitude_deg);
    io(grid.longitude_deg);
    io(grid.distance_km);
    std::size_t n = grid.warnings.size();
    io(n);
    grid.warnings.resize(n);
    for (Warning& warning : grid.warnings) {
        io(warning.code);
        io(warning.text);
        io(warning.where);
    }
}

std::string marked(Outcome outcome, const std::string& bytes) {
    return static_cast<char>(outcome) + bytes;
}

}  // namespace

std::string grid_or_error_as_bytes(const std::function<WeatherGrid()>& read) {
    try {
        WeatherGrid grid = read();
        Writer writer;
        pass(writer, grid);
        return marked(Outcome::grid, writer.bytes);
    } catch (const InputError& error) {
        return marked(Outcome::input_error, to_bytes(error));
    } catch (const std::exception& error) {
        return marked(Outcome::other, error.what());
    }
}

WeatherGrid grid_or_error_from_bytes(std::string_view bytes) {
    NOONSHELL_CHECK_GT(bytes.size(), 0u);
    const auto outcome = static_cast<Outcome>(bytes.front());
    bytes.remove_prefix(1);
    if (outcome == Outcome::input_error) throw input_error_from_bytes(bytes);
    if (outcome != Outcome::grid) throw std::runtime_error(std::string(bytes));
    ByteReader reader{bytes};
    WeatherGrid grid;
    pass(reader, grid);
    return grid;
}

}  // namespace noonshell
