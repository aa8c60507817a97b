// Independent tasks on a given number of threads. Included by .cpp files only.
#pragma once

#include <tbb/blocked_range.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/partitioner.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <cstddef>

namespace noonshell {

/// Calls task(i) once for every i < count, in any order, on up to `threads` threads (0: all; never
/// more than the machine has). Each
/// task must write only what is its own, so that the result does not depend on the thread count.
/// The calling thread takes part. The first exception of a task ends the loop and is thrown here.
template <class Task>
void for_each_task(unsigned threads, std::size_t count, const Task& task) {
    const auto loop = [&] {
        tbb::parallel_for(
            tbb::blocked_range<std::size_t>(0, count),
            [&](const tbb::blocked_range<std::size_t>& range) {
                for (std::size_t i = range.begin(); i != range.end(); ++i) task(i);
            },
            tbb::simple_partitioner{});
    };
    if (threads == 0) {
        loop();
    } else {
        // More than the machine has would make TBB print a warning.
        const std::size_t most =
            tbb::global_control::active_value(tbb::global_control::max_allowed_parallelism);
        tbb::task_arena arena(static_cast<int>(std::min<std::size_t>(threads, most)));
        arena.execute(loop);
    }
}

}  // namespace noonshell
