# Of what libFuzzer prints: executions, edges reached, and how many of them the second half of the executions added.
/^#[0-9]+[ \t].* cov: / {
    for (i = 2; i < NF; i++) {
        if ($i == "cov:") {
            rows++
            executions[rows] = substr($1, 2) + 0
            edges[rows] = $(i + 1) + 0
        }
    }
}
END {
    if (!rows) {
        exit
    }
    half = edges[1]
    for (row = 1; row <= rows && executions[row] <= executions[rows] / 2; row++) {
        half = edges[row]
    }
    printf "%d executions, %d edges, %d of them new in the second half (%.2f %%)\n", executions[rows], edges[rows], edges[rows] - half, \
        100 * (edges[rows] - half) / edges[rows]
}
