#include "steer/knowledge.h"

#include <cmath>

#include "core/contract.h"

namespace greywright::steer {

DriverKnowledge combined(const std::vector<DriverKnowledge>& papers) {
    expects(!papers.empty(), "nothing to combine");
    DriverKnowledge out = papers.front();
    double total = 0;
    for (auto& channel : out.response) {
        for (auto& axis : channel) axis.assign(axis.size(), 0);
    }
    const auto weightOf = [](const DriverKnowledge& paper) {
        const double floor = 0.1 * paper.gain + 1e-6;  // papers differ by more than one paper's own error
        return 1 / (paper.uncertainty * paper.uncertainty + floor * floor);
    };
    out.gain = 0;
    for (const DriverKnowledge& paper : papers) {
        expects(paper.tones == out.tones, "papers must be learned at the same tones");
        const double weight = weightOf(paper);
        total += weight;
        out.gain += weight * paper.gain;
        for (std::size_t c = 0; c < out.response.size(); ++c) {
            for (std::size_t j = 0; j < out.response[c].size(); ++j) {
                for (std::size_t t = 0; t < out.tones.size(); ++t) {
                    out.response[c][j][t] += weight * paper.response[c][j][t];
                }
            }
        }
    }
    for (auto& channel : out.response) {
        for (auto& axis : channel) {
            for (double& value : axis) value /= total;
        }
    }
    out.gain /= total;
    // Spread between papers at the mid tone, beside the mean's own error.
    const std::size_t middle = out.tones.size() / 2;
    double spread = 0;
    double entries = 0;
    for (const DriverKnowledge& paper : papers) {
        for (std::size_t c = 0; c < 2; ++c) {
            for (std::size_t j = 0; j < out.response[c].size(); ++j) {
                spread +=
                    weightOf(paper) * std::pow(paper.response[c][j][middle] - out.response[c][j][middle], 2);
                entries += weightOf(paper);
            }
        }
    }
    out.uncertainty = std::sqrt(1 / total + (entries > 0 ? spread / entries : 0));
    out.bestSetting = papers.back().bestSetting;
    return out;
}

}  // namespace greywright::steer
