#include "cli/app.hpp"

#include <poll.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <new>
#include <string>
#include <utility>

#include "cli/console.hpp"
#include "cli/inspect_command.hpp"
#include "cli/plan_command.hpp"
#include "cli/run_command.hpp"
#include "cli/utf8.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr unsigned most_threads = 1024;

struct Options {
    InspectRequest inspect;
    RunRequest run;
    PlanRequest plan;
    unsigned threads = 0;
    bool json = false, quiet = false, verbose = false;
};

/// The options that every command understands, before or after its name.
void add_common_options(CLI::App& app, Options& options) {
    app.add_option("--threads", options.threads, "Threads to use; all when left out")
        ->check(CLI::Range(1u, most_threads).description(""))  // as help would show it: "UINT in"
        ->type_name("N");
    CLI::Option* quiet =
        app.add_flag("-q,--quiet", options.quiet, "No progress bars and no notes on stderr");
    app.add_flag("-v,--verbose", options.verbose,
                 "Notes on stderr of what is done and which inputs were taken; longer "
                 "tables on stdout")
        ->excludes(quiet);
}

void add_inspect(CLI::App& app, Options& options) {
    CLI::App* command = app.add_subcommand(
        "inspect", "List bodies, roles, units, surfaces and contacts of a STEP file");
    command->add_option("model", options.inspect.model, "STEP file (AP203, AP214 or AP242)")
        ->required()
        ->type_name("MODEL.step");
    command
        ->add_option("--site", options.inspect.site_file,
                     "Site file: take name patterns, north and facet size from it")
        ->type_name("SITE.toml");
    command
        ->add_option("--against", options.inspect.against,
                     "Earlier version of the model: list what was kept, moved, resized, renamed, "
                     "added and taken away since")
        ->type_name("OLD.step");
    command->add_flag("--json", options.json, "Print one JSON document on stdout, nothing else");
    add_common_options(*command, options);
}

/// What of the work is done, and how well.
void add_run_choices(CLI::App& command, RunChoices& choices) {
    command
        .add_option_function<std::string>(
            "--only", [&choices](const std::string&) { choices.only_sun = true; },
            "Stop after the sun: no heat, no ranking")
        ->check([](const std::string& part) {
            return part == "sun" ? std::string() : "\"" + part + "\" is not sun";
        })
        ->type_name("sun");
    CLI::Option* fast = command.add_flag(
        "--fast", choices.preview,
        "A quick preview: facets of 1 m or larger, half-hourly suns, few points and rays, no "
        "ranking");
    command
        .add_option_function<std::string>(
            "--accuracy",
            [&choices](const std::string& text) { choices.accuracy = accuracy_from(text); },
            "Add points and rays until the sun of every unit's surface is as sure as this, such as "
            "0.5%: half "
            "its 95 % range, above 0 to 50 %")
        ->check([](const std::string& text) {
            return accuracy_from(text) ? std::string()
                                       : "\"" + text + "\" is no percentage above 0 to 50";
        })
        ->excludes(fast)
        ->type_name("PERCENT");
    command.add_flag("--every-sun", choices.every_sun,
                     "Shoot a ray from every point to the sun of every step, in place of reading "
                     "shadows from a grid of suns, at the same points: slow, the same to 0.1 % but "
                     "where next to no sun falls; for comparison");
    command.add_flag("--hours", choices.hours,
                     "Write surface_hours.csv too: every surface, every hour with daylight");
    command.add_flag("--netcdf", choices.netcdf,
                     "Write hourly.nc too: sun and heat of every surface and room by the hour, as "
                     "NetCDF-4 by the CF conventions");
    command
        .add_option("--netcdf-facets", choices.netcdf_facets,
                    "Write hourly.nc with the light on every facet of surfaces that match, too; "
                    "may be given again")
        ->type_name("PATTERN")
        ->expected(1)
        ->take_all();
    command
        .add_option("--facets", choices.facets,
                    "Write facet_hours.csv, facet_months.csv and facet_times.csv for the facets of "
                    "surfaces that match; may be given again")
        ->type_name("PATTERN")
        ->expected(1)
        ->take_all();
    command
        .add_option("--mask", choices.masks,
                    "Write mask-SURFACE.csv for surfaces that match: what stands before which part "
                    "of their sky, seen from the middle or, with #N behind the pattern, from facet "
                    "N of facets.csv; may be given again")
        ->type_name("PATTERN")
        ->expected(1)
        ->take_all();
}

/// What of it is drawn.
void add_pictures(CLI::App& command, RunChoices& choices) {
    command
        .add_option_function<std::vector<std::string>>(
            "--views",
            [&choices](const std::vector<std::string>& words) {
                for (const std::string& word : words) choices.views.push_back(*view_of_word(word));
            },
            "Write views-RESULT.svg: plan and four sides painted by sun, peak-outside, inward or "
            "rank; may be given again")
        ->check([](const std::string& word) {
            return view_of_word(word) ? std::string()
                                      : "\"" + word +
                                            "\" is no result; known: sun, peak-outside, inward, "
                                            "rank";
        })
        ->type_name("RESULT")
        ->expected(1)
        ->take_all();
    command
        .add_option("--sun-paths", choices.sun_paths,
                    "Write sun-paths-SURFACE.svg for surfaces that match: the sun's paths over "
                    "what stands in the way; #N as of --mask; may be given again")
        ->type_name("PATTERN")
        ->expected(1)
        ->take_all();
    command
        .add_option("--carpet", choices.carpets,
                    "Write carpet-NAME.svg for surfaces and units that match: sun and heat by hour "
                    "and month; may be given again")
        ->type_name("PATTERN")
        ->expected(1)
        ->take_all();
}

void add_site_and_folder(CLI::App& command, std::filesystem::path& site_file,
                         std::optional<std::filesystem::path>& output, const std::string& files) {
    command.add_option("site", site_file, "Site file")->required()->type_name("SITE.toml");
    command
        .add_option("--out", output,
                    "Folder for " + files +
                        "; else [run] output of the site file, else SITE-results beside it")
        ->check([](const std::string& folder) {
            return folder.empty() ? std::string("the name of the folder is empty") : std::string();
        })
        ->type_name("DIR");
}

void add_run(CLI::App& app, Options& options) {
    CLI::App* command = app.add_subcommand(
        "run", "Sun and heat of every surface over the period; rank the surfaces");
    add_site_and_folder(*command, options.run.site_file, options.run.output,
                        "summary.json, the tables, model.glb and coloured.step");
    add_run_choices(*command, options.run.choices);
    add_pictures(*command, options.run.choices);
    command->final_callback([&choices = std::as_const(options.run.choices)] {
        for (const ColourBy by : choices.views) {
            if (!has_result(choices, by))
                throw CLI::ValidationError("--views",
                                           "\"" + std::string(view_word(by)) +
                                               "\" is no result of a run with " +
                                               (choices.only_sun ? "--only sun" : "--fast"));
        }
    });
    command->add_flag("--json", options.json, "Print summary.json on stdout, nothing else");
    add_common_options(*command, options);
}

void add_plan(CLI::App& app, Options& options) {
    CLI::App* command = app.add_subcommand(
        "plan", "Where to spend a budget: which treatment on which surface, in which order");
    add_site_and_folder(*command, options.plan.site_file, options.plan.output,
                        "plan.html, plan.json, plan.csv and frontier.csv");
    PlanChoices& choices = options.plan.choices;
    command
        ->add_option("--budget", choices.budget, "What may be spent, in the site file's currency")
        ->required()
        ->check([](const std::string& text) {
            constexpr double most_budget = 1e12;
            char* end = nullptr;
            const double amount = std::strtod(text.c_str(), &end);
            const bool whole = end == text.c_str() + text.size() && !text.empty();
            return whole && amount >= 0 && amount <= most_budget
                       ? std::string()
                       : "\"" + text + "\" is no amount from 0 to 1e12";
        })
        ->type_name("N");
    command
        ->add_option_function<std::string>(
            "--goal", [&choices](const std::string& word) { choices.goal = plan_goal_of(word); },
            "What to make least: cooling_energy, running_cost, peak_load, present_value or "
            "too_hot; else [plan] goal")
        ->check([](const std::string& word) {
            return plan_goal_of(word) ? std::string()
                                      : "\"" + word +
                                            "\" is no goal; known: cooling_energy, running_cost, "
                                            "peak_load, present_value, too_hot";
        })
        ->type_name("GOAL");
    command->add_flag("--fast", choices.preview,
                      "A quick preview, as of run --fast: good for a first look only");
    command->add_flag("--json", options.json, "Print plan.json on stdout, nothing else");
    add_common_options(*command, options);
}

int fail(std::ostream& err, const std::string& text, ExitStatus status) {
    err << "noonshell: error: " << printable(text) << std::endl;
    return status;
}

InputError unwritten() {
    return InputError({"standard output", {}, {}, ""}, "room to write the results",
                      "an error while writing");
}

/// Whether the far end of a pipe on standard output was closed, as by `head` when it has enough.
bool reader_is_gone(const std::ostream& out) {
    pollfd end{STDOUT_FILENO, POLLOUT, 0};
    return &out == &std::cout && poll(&end, 1, 0) == 1 && (end.revents & POLLERR) != 0;
}

/// The last step of every command: whether all of its results were written.
int finish(std::ostream& out, std::ostream& err) {
    out.flush();
    if (out) return status_done;
    if (reader_is_gone(out)) return status_broken_pipe;
    return fail(err, unwritten().what(), status_input);
}

/// `"sun" is no command; known: inspect, run, plan`
std::string no_command(const CLI::App& app, const std::string& word) {
    if (word.starts_with('-')) return "\"" + word + "\" is no option; a command is required";
    std::string known;
    for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; }))
        known += (known.empty() ? "" : ", ") + command->get_name();
    return "\"" + word + "\" is no command; known: " + known;
}

/// Help and version go to `out`; wrong usage is one line on `err`.
int answer_parse_result(const CLI::App& app, const CLI::ParseError& error, std::ostream& out,
                        std::ostream& err) {
    if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) {
        app.exit(error, out, err);
        return finish(out, err);
    }
    std::string text = error.what();
    // A missing command is found before the words left over are: say which was meant for one.
    const std::vector<std::string> left_over = app.remaining();
    if (error.get_name() == "RequiredError" && app.get_subcommands().empty() && !left_over.empty())
        text = no_command(app, left_over[0]);
    std::replace(text.begin(), text.end(), '\n', ' ');
    const auto commands = app.get_subcommands();
    const std::string command = commands.empty() ? "" : commands[0]->get_name() + " ";
    return fail(err, text + " (see noonshell " + command + "--help)", status_usage);
}

void dispatch(const CLI::App& app, Options& options, std::ostream& out, std::ostream& err) {
    const bool terminal = &err == &std::cerr && isatty(STDERR_FILENO) == 1;
    const Console console{out, err, options.json, options.quiet, options.verbose, terminal};
    options.run.threads = options.plan.threads = options.threads;
    if (app.got_subcommand("inspect")) inspect(options.inspect, console);
    if (app.got_subcommand("run")) run(options.run, console);
    if (app.got_subcommand("plan")) plan(options.plan, console);
}

int run_command(const CLI::App& app, Options& options, std::ostream& out, std::ostream& err) {
    try {
        dispatch(app, options, out, err);
        return finish(out, err);
    } catch (const InputError& error) {
        return fail(err, error.what(), status_input);
    } catch (const NoUnitError& error) {
        return fail(err, error.what(), status_no_unit);
    } catch (const ConvergenceError& error) {
        return fail(err, error.what(), status_not_converged);
    } catch (const Interrupted& error) {
        return fail(err, error.what(), status_interrupted);
    } catch (const std::bad_alloc&) {
        return fail(err, "not enough memory", status_fault);
    } catch (const std::exception& error) {
        return fail(err, std::string("a fault of the program: ") + error.what(), status_fault);
    }
}

}  // namespace

int run_cli(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
    Options options;
    CLI::App app(
        "Sun and heat on buildings made of steel freight containers: which surfaces cook, "
        "how hot the steel gets, what comes indoors, and what to treat first.",
        "noonshell");
    app.set_version_flag("--version", NOONSHELL_VERSION, "Print the version");
    app.set_help_flag("-h,--help", "Print this help");
    app.require_subcommand(1);
    app.get_formatter()->label("Excludes", "not with");
    app.get_formatter()->label("REQUIRED", "needed");
    app.footer(
        "Exit status: 0 done, 2 wrong usage, 3 input that cannot be read or is out of range, "
        "4 no usable unit,\n5 not converged, 130 interrupted, 141 the reader of stdout is gone, "
        "1 a fault of the program.");
    add_common_options(app, options);
    add_inspect(app, options);
    add_run(app, options);
    add_plan(app, options);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return answer_parse_result(app, error, out, err);
    }
    return run_command(app, options, out, err);
}

}  // namespace noonshell
