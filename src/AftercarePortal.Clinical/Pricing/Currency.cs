using System.Collections.Frozen;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>How many decimals money has in each currency in use.</summary>
/// <remarks>ISO 4217 as another run-time's table and list of codes in use had it (seen November 2026); UYW from memory, unchecked.</remarks>
public static class Currency
{
    private static readonly FrozenDictionary<string, int> Digits = new (int Digits, string Codes)[]
    {
        (0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"),
        (2, """
            AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU CRC CUC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR
            FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HRK HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN
            NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SLL SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS
            VED VES WST XCD YER ZAR ZMW ZWL
            """),
        (3, "BHD IQD JOD KWD LYD OMR TND"), (4, "CLF UYW"),
    }.SelectMany(row => row.Codes.Split((char[])[' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries).Select(code => (code, row.Digits))).ToFrozenDictionary(x => x.code, x => x.Digits);

    /// <summary>Decimals of its minor unit, 0..4; null when the code is none that is in use.</summary>
    /// <param name="code">ISO 4217, capital letters.</param>
    public static int? MinorDigits(string code) => Digits.TryGetValue(code, out var digits) ? digits : null;
}
