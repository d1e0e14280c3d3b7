//! What the benches measure with.

/// Highest memory of this process since it began or was last told to forget (MB), where the system tells.
pub(crate) fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok().map(|kb: f64| kb / 1024.0)
}

/// The middle of some times.
pub(crate) fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
