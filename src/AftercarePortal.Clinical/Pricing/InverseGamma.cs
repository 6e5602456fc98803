namespace AftercarePortal.Clinical.Pricing;

/// <summary>The inverse gamma distribution, for the spread of a clinic's faces.</summary>
internal static class InverseGamma
{
    /// <summary>The value with this probability below it.</summary>
    /// <param name="probability">Above 0 and below 1.</param>
    /// <param name="shape">Above 0.</param>
    /// <param name="scale">Above 0.</param>
    public static double Quantile(double probability, double shape, double scale)
    {
        // Bisection on the logarithm of a gamma variable: slow, sure, and the same bits everywhere.
        double low = Math.Log(shape) - 60 / Math.Sqrt(shape) - 2, high = Math.Log(shape) + 60 / Math.Sqrt(shape) + 2;
        for (var i = 0; i < 200 && high - low > 1e-15 * Math.Max(1, Math.Abs(low)); i++)
        {
            var middle = (low + high) / 2;
            if (GammaBelow(shape, Math.Exp(middle)) < 1 - probability) low = middle;
            else high = middle;
        }

        return scale / Math.Exp((low + high) / 2);
    }

    private static double GammaBelow(double shape, double x)
    {
        var front = Math.Exp(shape * Math.Log(x) - x - LogGamma.Of(shape));
        if (x < shape + 1)
        {
            double term = 1 / shape, sum = term;
            for (var n = 1; n < 10000 && term > sum * 1e-17; n++)
            {
                term *= x / (shape + n);
                sum += term;
            }

            return front * sum;
        }

        // Continued fraction, modified Lentz.
        double b = x + 1 - shape, c = 1e300, d = 1 / b, h = d;
        for (var n = 1; n < 10000; n++)
        {
            var a = -n * (n - shape);
            b += 2;
            d = 1 / (a * d + b);
            c = b + a / c;
            var step = d * c;
            h *= step;
            if (Math.Abs(step - 1) < 1e-16) break;
        }

        return 1 - front * h;
    }
}
