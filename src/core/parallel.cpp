#include "core/parallel.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace greywright {

bool inParallel(std::size_t count, std::size_t threads, const std::function<void(std::size_t)>& work,
                const std::function<bool(std::size_t)>& goOn) {
    if (threads == 0) threads = std::max(1U, std::thread::hardware_concurrency());
    threads = std::min(threads, count);
    std::atomic<std::size_t> next{0}, done{0};
    std::atomic<bool> stopped{false};
    std::exception_ptr thrown;
    std::mutex guard;
    const auto takeTurns = [&](bool asks) {
        while (!stopped) {
            if (asks && goOn && !goOn(done)) {
                stopped = true;
                break;
            }
            const std::size_t index = next++;
            if (index >= count) break;
            try {
                work(index);
            } catch (...) {
                const std::scoped_lock lock(guard);
                if (!thrown) thrown = std::current_exception();
                stopped = true;
            }
            ++done;
        }
    };
    {
        std::vector<std::jthread> others;
        for (std::size_t i = 1; i < threads; ++i) others.emplace_back(takeTurns, false);
        takeTurns(true);
    }
    if (thrown) std::rethrow_exception(thrown);
    return done == count;
}

}  // namespace greywright
