namespace AftercarePortal.Clinical.Products;

/// <summary>Why a scanned text was not read.</summary>
public enum Gs1Fault
{
    /// <summary>It is no element string, or holds a field other than 01, 10, 11, 15, 17, 21, 240.</summary>
    NotGs1,
    /// <summary>A field is too long, too short, empty, or holds a character no field may hold.</summary>
    FieldWrong,
    /// <summary>The same field stands there twice.</summary>
    FieldTwice,
    /// <summary>The check digit of the product number does not fit: misread or mistyped.</summary>
    CheckDigitWrong,
    /// <summary>The expiry is no day of the calendar.</summary>
    DateWrong,
}
