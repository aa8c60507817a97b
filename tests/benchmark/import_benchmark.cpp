// Import of STEP files against the CAD kernel's bare read and transfer of the same file.
//   import_benchmark [--repeat N] [--check]     the ratio of times, for three models
//   import_benchmark --large [N]                memory of N detailed containers, no solid shared
//   import_benchmark --read FILE [N]            one file, N times: something to profile
//   import_benchmark --read-bare FILE [N]       the same with the kernel's own reader
//
// Both sides work in a fresh child process, one after the other and by turns, and the smallest time
// of each counts: the kernel keeps tables that make a second reading in one process cheaper.
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <STEPCAFControl_Reader.hxx>
#include <STEPControl_Reader.hxx>
#include <TDocStd_Document.hxx>
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <functional>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "geometry/block_writer.hpp"
#include "geometry/occt_session.hpp"
#include "geometry/step_reader.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

using Path = std::filesystem::path;

constexpr double target_ratio = 1.2;
/// Best times of both come nearer to the truth with every round: a busy machine gets more of them.
constexpr int most_rounds = 5;
constexpr double gib = 1024.0 * 1024.0 * 1024.0, kib = 1024.0;
constexpr double largest_memory_gib = 3;

/// What one run in a child process cost.
struct Cost {
    double time_s = 0;
    double peak_gib = 0;  ///< the larger of the child and of its own children
    double n_faces = 0;
};

double seconds_of(const std::function<void()>& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

double peak_gib(int who) {
    rusage usage{};
    getrusage(who, &usage);
    return double(usage.ru_maxrss) * kib / gib;
}

/// Runs `work` in a child; `work` gives the number of faces it found.
Cost in_child(const std::function<std::size_t()>& work) {
    int channel[2];
    if (pipe(channel) != 0) throw std::runtime_error("no pipe");
    const pid_t child = fork();
    if (child < 0) throw std::runtime_error("no child process");
    if (child == 0) {
        Cost cost;
        std::size_t n_faces = 0;
        cost.time_s = seconds_of([&] { n_faces = work(); });
        cost.n_faces = double(n_faces);
        cost.peak_gib = std::max(peak_gib(RUSAGE_SELF), peak_gib(RUSAGE_CHILDREN));
        const bool told = write(channel[1], &cost, sizeof cost) == ssize_t(sizeof cost);
        _exit(told ? 0 : 1);
    }
    close(channel[1]);
    Cost cost;
    const bool told = read(channel[0], &cost, sizeof cost) == ssize_t(sizeof cost);
    close(channel[0]);
    int status = 0;
    waitpid(child, &status, 0);
    if (!told || status != 0) throw std::runtime_error("a child process failed");
    return cost;
}

std::size_t with_our_reader(const Path& file) {
    return read_step(file).faces.size();
}

/// Names, colours and assemblies too, as our reader takes them; no triangles.
std::size_t with_document_reader(const Path& file) {
    OcctSession quiet;
    opencascade::handle<TDocStd_Document> document = new TDocStd_Document("BinXCAF");
    STEPCAFControl_Reader reader;
    reader.SetColorMode(true);
    reader.SetNameMode(true);
    if (reader.ReadFile(file.c_str()) != IFSelect_RetDone || !reader.Transfer(document)) {
        throw std::runtime_error("the CAD kernel cannot read " + file.string());
    }
    return 0;
}

/// Shapes only.
std::size_t with_shape_reader(const Path& file) {
    OcctSession quiet;
    STEPControl_Reader reader;
    if (reader.ReadFile(file.c_str()) != IFSelect_RetDone || reader.TransferRoots() == 0) {
        throw std::runtime_error("the CAD kernel cannot read " + file.string());
    }
    return 0;
}

/// 400 units: 20 x 10, two high, 3 m apart.
std::vector<Block> yard_of_400() {
    std::vector<Block> blocks;
    for (int i = 0; i < 400; ++i) {
        const int level = i / 200, row = i % 200 / 20, column = i % 20;
        blocks.push_back({"unit-" + std::to_string(i + 1), "level-" + std::to_string(level),
                          Vec3(9.0 * column, 5.4 * row, 2.591 * level), Vec3(6.058, 2.438, 2.591),
                          0, 0, std::nullopt});
    }
    return blocks;
}

struct NamedFile {
    std::string name;
    Path file;
};

/// The largest ratio of our time to the time of the kernel's document reader.
double compare(const std::vector<NamedFile>& files, int repeat) {
    std::printf("%-28s %8s %8s %8s %8s %8s %9s\n", "", "MB", "ours s", "bare s", "shapes s",
                "ratio", "peak GiB");
    double worst = 0;
    for (const NamedFile& named : files) {
        const Path& file = named.file;
        Cost ours{std::numeric_limits<double>::infinity()}, bare = ours, shapes = ours;
        const auto keep_best = [&](Cost& best, std::size_t (*read)(const Path&)) {
            const Cost cost = in_child([&, read] { return read(file); });
            if (cost.time_s < best.time_s) best = cost;
        };
        const auto ratio_so_far = [&] { return ours.time_s / bare.time_s; };
        for (int i = 0; i < repeat || (i < most_rounds * repeat && ratio_so_far() > target_ratio);
             ++i) {
            keep_best(bare, with_document_reader);
            keep_best(ours, with_our_reader);
            keep_best(shapes, with_shape_reader);
        }
        const double ratio = ratio_so_far();
        worst = std::max(worst, ratio);
        std::printf("%-28s %8.2f %8.3f %8.3f %8.3f %8.2f %9.2f\n", named.name.c_str(),
                    double(std::filesystem::file_size(file)) / 1e6, ours.time_s, bare.time_s,
                    shapes.time_s, ratio, ours.peak_gib);
        std::fflush(stdout);
    }
    std::printf("largest ratio %.2f, target %.2f\n", worst, target_ratio);
    return worst;
}

int compare_all(int repeat, bool check) {
    const test_support::ScratchFolder folder;
    std::vector<NamedFile> files{
        {"demo station", Path(NOONSHELL_SOURCE_DIR) / "models" / "station.step"}};
    // Made in a child, so that what the making took is not counted in the readers' memory.
    const auto add = [&](const char* name, const std::function<void(const Path&)>& write) {
        files.push_back({name, folder / (std::to_string(files.size()) + ".step")});
        in_child([&] {
            write(files.back().file);
            return std::size_t{0};
        });
    };
    add("detailed container",
        [](const Path& file) { test_support::write_detailed_container(file); });
    if (!check) {
        add("detailed, one part", [](const Path& file) {
            test_support::write_detailed_container(file,
                                                   {.form = test_support::ContainerForm::compound});
        });
        add("400 blocks", [](const Path& file) { write_blocks(yard_of_400(), file); });
    }
    const double worst = compare(files, repeat);
    return check && worst > target_ratio ? 1 : 0;
}

std::vector<test_support::ContainerPlacement> rows_of(int n) {
    std::vector<test_support::ContainerPlacement> placements;
    for (int i = 0; i < n; ++i) {
        const int row = i / 10, column = i % 10;
        placements.push_back(
            {"container-" + std::to_string(i + 1), Vec3(10.0 * column, 5.0 * row, 0)});
    }
    return placements;
}

int measure_large(int n) {
    const test_support::ScratchFolder folder;
    const Path file = folder / "large.step";
    in_child([&] {
        test_support::write_detailed_container(file,
                                               {.placements = rows_of(n), .separate_copies = true});
        return std::size_t{0};
    });
    const Cost ours = in_child([&] { return with_our_reader(file); });
    const Cost bare = in_child([&] { return with_document_reader(file); });
    std::printf(
        "%d containers, %.0f faces, %.0f MB: ours %.1f s, %.2f GiB; bare %.1f s, %.2f GiB\n", n,
        ours.n_faces, double(std::filesystem::file_size(file)) / 1e6, ours.time_s, ours.peak_gib,
        bare.time_s, bare.peak_gib);
    return ours.peak_gib < largest_memory_gib ? 0 : 1;
}

int read_often(const Path& file, int n, std::size_t (*read)(const Path&)) {
    for (int i = 0; i < n; ++i) std::printf("%.3f s\n", seconds_of([&] { read(file); }));
    return 0;
}

int run(const std::vector<std::string>& words) {
    int repeat = 3;
    bool check = false;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const auto next = [&](const char* otherwise) {
            return i + 1 < words.size() ? words[++i] : std::string(otherwise);
        };
        if (words[i] == "--large") return measure_large(std::stoi(next("100")));
        if (words[i] == "--read" || words[i] == "--read-bare") {
            const auto read = words[i] == "--read" ? with_our_reader : with_document_reader;
            const Path file = next("");
            return read_often(file, std::stoi(next("1")), read);
        }
        if (words[i] == "--check") {
            check = true;
        } else if (words[i] == "--repeat") {
            repeat = std::stoi(next("3"));
        } else {
            throw std::invalid_argument("unknown: " + words[i]);
        }
    }
    return compare_all(repeat, check);
}

}  // namespace
}  // namespace noonshell

int main(int n_arguments, char** arguments) {
    try {
        return noonshell::run({arguments + 1, arguments + n_arguments});
    } catch (const std::exception& error) {
        std::fprintf(stderr, "import_benchmark: %s\n", error.what());
        return 1;
    }
}
