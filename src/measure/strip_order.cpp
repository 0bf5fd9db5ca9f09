#include "measure/strip_order.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "core/said.h"

namespace greywright::measure {
namespace {

constexpr std::size_t kMostPatches = 600;
constexpr std::size_t kShortestStrip = 2;

// A repaired order must leave hardly more than the noise of a print.
constexpr double kRepairedRise = 2.5;

// Blocks are found by the patches that are out of place; a few at their ends may fit by chance.
constexpr double kOutOfPlace = 2;
constexpr std::size_t kChance = 3;

std::string range(std::size_t from, std::size_t to) {
    return from == to ? fmt::format("{}", from) : fmt::format("{}-{}", from, to);
}

/// Lightness sorted to fall with tone: what each patch would have measured in the right order.
std::vector<double> expectedLightness(const std::vector<ToneAndLightness>& patches) {
    std::vector<std::size_t> byTone(patches.size());
    for (std::size_t i = 0; i < byTone.size(); ++i) byTone[i] = i;
    std::ranges::stable_sort(byTone, [&](std::size_t a, std::size_t b) {
        return patches[a].tonePercent < patches[b].tonePercent;
    });
    std::vector<double> sorted;
    sorted.reserve(patches.size());
    for (const ToneAndLightness& patch : patches) sorted.push_back(patch.lightness);
    std::ranges::sort(sorted, std::greater<>());
    std::vector<double> expected(patches.size());
    for (std::size_t rank = 0; rank < byTone.size(); ++rank) expected[byTone[rank]] = sorted[rank];
    return expected;
}

class Search {
  public:
    explicit Search(const std::vector<ToneAndLightness>& patches)
        : patches_(patches), expected_(expectedLightness(patches)) {}

    std::optional<OrderMistake> run() {
        std::size_t first = patches_.size();
        std::size_t last = 0;
        for (std::size_t i = 0; i < patches_.size(); ++i) {
            if (std::abs(patches_[i].lightness - expected_[i]) <= kOutOfPlace) continue;
            first = std::min(first, i);
            last = i;
        }
        if (first >= last) return std::nullopt;
        for (std::size_t from = first - std::min(first, kChance); from <= first; ++from) {
            for (std::size_t to = last; to < std::min(last + kChance + 1, patches_.size()); ++to)
                tryBlock(from, to);
        }
        return best_;
    }

  private:
    void tryBlock(std::size_t from, std::size_t to) {
        const std::size_t span = to - from + 1;
        for (std::size_t length = kShortestStrip; 2 * length <= span; ++length) {
            auto changed = patches_;
            for (std::size_t i = 0; i < length; ++i) {
                std::swap(changed[from + i].lightness, changed[to + 1 - length + i].lightness);
            }
            judge(changed, {OrderMistake::Kind::swapped, from + 1, from + length, to + 2 - length, to + 1});
        }
        auto changed = patches_;
        for (std::size_t i = 0; i < span; ++i) changed[from + i].lightness = patches_[to - i].lightness;
        judge(changed, {OrderMistake::Kind::reversed, from + 1, to + 1, 0, 0});
    }

    void judge(const std::vector<ToneAndLightness>& changed, const OrderMistake& mistake) {
        double badness = 0;
        for (std::size_t i = 0; i < changed.size(); ++i)
            badness += std::abs(changed[i].lightness - expected_[i]);
        if (best_ && badness >= leastBadness_) return;
        if (largestRise(changed).lightness > kRepairedRise) return;
        leastBadness_ = badness;
        best_ = mistake;
    }

    const std::vector<ToneAndLightness>& patches_;
    std::vector<double> expected_;
    std::optional<OrderMistake> best_;
    double leastBadness_ = 0;
};

}  // namespace

Rise largestRise(std::vector<ToneAndLightness> patches) {
    std::ranges::stable_sort(patches, {}, &ToneAndLightness::tonePercent);
    Rise worst;
    std::optional<ToneAndLightness> darkest;
    for (std::size_t i = 0; i < patches.size();) {
        ToneAndLightness mean{patches[i].tonePercent, 0};
        std::size_t end = i;
        for (; end < patches.size() && patches[end].tonePercent == mean.tonePercent; ++end) {
            mean.lightness += patches[end].lightness;
        }
        mean.lightness /= static_cast<double>(end - i);
        i = end;
        if (darkest && mean.lightness - darkest->lightness > worst.lightness) {
            worst = {mean.lightness - darkest->lightness, darkest->tonePercent, mean.tonePercent};
        }
        if (!darkest || mean.lightness < darkest->lightness) darkest = mean;
    }
    return worst;
}

std::string OrderMistake::likelyOrder(std::size_t count) const {
    std::string out;
    const auto add = [&](const std::string& part) { out += (out.empty() ? "" : ", ") + part; };
    if (firstFrom > 1) add(range(1, firstFrom - 1));
    std::size_t end = firstTo;
    if (kind == Kind::reversed) {
        add(said("{} down to {}", firstTo, firstFrom));
    } else {
        add(range(secondFrom, secondTo));
        if (secondFrom > firstTo + 1) add(range(firstTo + 1, secondFrom - 1));
        add(range(firstFrom, firstTo));
        end = secondTo;
    }
    if (end < count) add(range(end + 1, count));
    return out;
}

std::optional<OrderMistake> likelyOrderMistake(const std::vector<ToneAndLightness>& patches) {
    if (patches.size() < 2 * kShortestStrip || patches.size() > kMostPatches) return std::nullopt;
    return Search(patches).run();
}

}  // namespace greywright::measure
