//! Matrices of three by three in double precision, for what is worked out once a picture.

/// Rows.
pub type Matrix = [[f64; 3]; 3];

/// First `right`, then `left`.
pub fn multiply(left: &Matrix, right: &Matrix) -> Matrix {
    left.map(|row| std::array::from_fn(|column| (0..3).map(|inner| row[inner] * right[inner][column]).sum()))
}

/// A matrix times a column.
pub fn apply(matrix: &Matrix, column: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * column[0] + row[1] * column[1] + row[2] * column[2])
}

/// Each channel times its own factor.
pub fn diagonal([a, b, c]: [f64; 3]) -> Matrix {
    [[a, 0.0, 0.0], [0.0, b, 0.0], [0.0, 0.0, c]]
}

/// What undoes it, by its minors. The matrix must have an inverse, as those of colour spaces do.
pub fn inverse(m: &Matrix) -> Matrix {
    let minor = |row: usize, column: usize| {
        let (r, s, c, d) = ((row + 1) % 3, (row + 2) % 3, (column + 1) % 3, (column + 2) % 3);
        m[r][c] * m[s][d] - m[r][d] * m[s][c]
    };
    let determinant: f64 = (0..3).map(|column| m[0][column] * minor(0, column)).sum();
    std::array::from_fn(|row| std::array::from_fn(|column| minor(column, row) / determinant))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inverse_undoes() {
        let matrix = [[0.6370, 0.1446, 0.1689], [0.2627, 0.6780, 0.0593], [0.0, 0.0281, 1.0610]];
        let identity = multiply(&matrix, &inverse(&matrix));
        for (row, values) in identity.iter().enumerate() {
            for (column, value) in values.iter().enumerate() {
                assert!((value - f64::from(u8::from(row == column))).abs() < 1e-12, "{identity:?}");
            }
        }
        assert_eq!(apply(&diagonal([1.0, 2.0, 3.0]), [1.0, 1.0, 2.0]), [1.0, 2.0, 6.0]);
    }
}
